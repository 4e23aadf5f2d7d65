"""Which page draws which picture of a hoist."""

from fieldlog.tui.page import Page


def picture_page(hoist_id: str, picture: str) -> Page:
    """Wear over time ('trend'), wear along the chain ('along') or the tag's code ('code')."""
    if picture == "code":
        from fieldlog.tui.screens.tag_code import TagCodePage  # noqa: PLC0415

        return TagCodePage(hoist_id)
    if picture == "along":
        from fieldlog.tui.screens.along import AlongPage  # noqa: PLC0415

        return AlongPage(hoist_id)
    from fieldlog.tui.screens.trend import TrendPage  # noqa: PLC0415

    return TrendPage(hoist_id)
