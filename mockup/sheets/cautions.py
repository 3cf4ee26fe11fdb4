"""The cautions that pages and sheets carry, worded once (common practice, no source)."""

SCREEN = "A screen is a guide only: approve the ink sample before the work begins."
PAPER = "Colours depend on the paper and on the batch of the ink: test first."
LIGHT = "How fast the inks hold in light is unknown until it is tested."
SOLVENT = (
    "Solvent inks: air the room, cap the pens, keep them from flames and small children, and follow the label "
    "and local rules."
)
FOR_A_CLIENT = (SCREEN, PAPER, LIGHT)
