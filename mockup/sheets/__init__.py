"""What she takes away: previews, sheets, pages and plan files, written safely."""
