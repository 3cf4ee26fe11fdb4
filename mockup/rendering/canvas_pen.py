"""Walks the steps of a laid-out scene and has cairo paint them.

Whole runs are handed to cairo at once. What lies outside the part of the sheet being painted is skipped,
and what lies wholly inside an upright window is painted without clipping, which shows the same sooner.
"""

from collections.abc import Callable
from typing import Any

from mockup.rendering.canvas_boxes import Box, apart, inside
from mockup.rendering.canvas_cairo import cairocffi
from mockup.rendering.canvas_paths import Laid, Layout, Paint, Step, Type, Window
from mockup.rendering.scene import Cloth, Text

_cairo: Any = cairocffi.cairo
_ffi: Any = cairocffi.ffi


def _none_here(_context: Any, _cloth: Cloth) -> None:
    raise AssertionError("this output has its cloth drawn copy by copy")


def _by_itself(_context: Any, _text: Text) -> None:
    raise AssertionError("this output takes its texts as outlines")


class Pen:
    """Paints one layout in one cairo context of which a unit is 1 mm.

    Parameters
    ----------
    context : cairocffi.Context
        Already scaled; it must outlive the pen.
    scene : Layout
        What is painted.
    view : (x0, y0, x1, y1)
        The part of the sheet that the context shows, mm.
    write : function
        Sets a text that was not laid out as outlines.
    lay : function
        Makes the picture of a cloth's unit, laid side by side, what is painted with.
    loose : bool
        Whether steps wholly inside an upright window are painted without clipping.
    """

    def __init__(
        self,
        context: Any,
        scene: Layout,
        view: Box,
        *,
        write: Callable[[Any, Text], None] = _by_itself,
        lay: Callable[[Any, Cloth], None] = _none_here,
        loose: bool = True,
    ) -> None:
        context.set_fill_rule(cairocffi.FILL_RULE_EVEN_ODD)
        context.set_line_join(cairocffi.LINE_JOIN_ROUND)
        context.set_line_cap(cairocffi.LINE_CAP_ROUND)
        self._context = context
        self._target = context._pointer
        self._scene = scene
        self._view = view
        self._write = write
        self._lay = lay
        self._loose = loose
        self._units: Any = _ffi.from_buffer("cairo_path_data_t[]", scene.units)
        self._path = _ffi.new("cairo_path_t *")
        self._path.status = cairocffi.STATUS_SUCCESS

    def paint(self) -> None:
        """Paint all steps.

        Raises
        ------
        cairocffi.CairoError
            Where cairo gives up, as for want of memory.
        """
        self._steps(self._scene.steps)
        self._context.new_path()

    def _steps(self, steps: tuple[Step, ...]) -> None:
        for step in steps:
            if isinstance(step, Type):
                self._write(self._context, step.text)
            elif not apart(step.box, self._view):
                if isinstance(step, Paint):
                    self._paint(step)
                elif isinstance(step, Laid):
                    self._append(step.first, step.last)
                    self._lay(self._context, step.cloth)
                    _cairo.cairo_fill(self._target)
                else:
                    self._window(step)

    def _append(self, first: int, last: int) -> None:
        """Add the runs that can be seen to the current path."""
        starts, boxes, view = self._scene.starts, self._scene.boxes, self._view
        for run in range(first, last):
            if last - first == 1 or not apart(boxes[run], view):
                self._path.data = self._units + starts[run]
                self._path.num_data = starts[run + 1] - starts[run]
                _cairo.cairo_append_path(self._target, self._path)

    def _paint(self, step: Paint) -> None:
        self._append(step.first, step.last)
        _cairo.cairo_set_source_rgb(self._target, *step.colour)
        if step.width > 0.0:
            _cairo.cairo_set_line_width(self._target, step.width)
            _cairo.cairo_stroke(self._target)
        elif step.winding:
            _cairo.cairo_set_fill_rule(self._target, cairocffi.FILL_RULE_WINDING)
            _cairo.cairo_fill(self._target)
            _cairo.cairo_set_fill_rule(self._target, cairocffi.FILL_RULE_EVEN_ODD)
        else:
            _cairo.cairo_fill(self._target)

    def _window(self, window: Window) -> None:
        """Paint the steps of a window, the clip on only where one of them may need it."""
        clipped = False
        for step in window.steps:
            free = (
                self._loose and window.upright and not isinstance(step, Type) and inside(step.box, window.box)
            )
            if free and clipped:
                _cairo.cairo_restore(self._target)
            elif not free and not clipped:
                _cairo.cairo_save(self._target)
                self._append(window.first, window.last)
                _cairo.cairo_clip(self._target)
            clipped = not free
            if isinstance(step, Type) or not apart(step.box, window.box):
                self._steps((step,))
        if clipped:
            _cairo.cairo_restore(self._target)
