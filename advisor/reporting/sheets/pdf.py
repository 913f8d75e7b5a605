"""The HTML of a sheet printed to PDF: tagged, in the plotting library's typeface, same bytes each time."""

import gc
import os
from pathlib import Path

import matplotlib
import weasyprint
from weasyprint.text.fonts import FontConfiguration

_FONTS = Path(matplotlib.get_data_path()) / "fonts" / "ttf"
_FACES = (
    ("DejaVuSans.ttf", "normal", "normal"),
    ("DejaVuSans-Bold.ttf", "bold", "normal"),
    ("DejaVuSans-Oblique.ttf", "normal", "italic"),
)


class _NothingElse(weasyprint.urls.URLFetcher):
    """Nothing is fetched from anywhere; only the typefaces beside the plotting library are opened."""

    def fetch(self, url, headers=None):
        if not url.startswith(_FONTS.as_uri() + "/"):
            raise ValueError(f"a sheet needs nothing from {url}")
        return super().fetch(url, headers)


def pdf(page: str) -> bytes:
    """The PDF of an HTML page, as bytes."""
    config, nothing_else = FontConfiguration(), _NothingElse()
    faces = "".join(
        f"@font-face {{ font-family: 'DejaVu Sans'; font-weight: {weight}; font-style: {slope}; "
        f"src: url('{(_FONTS / file).as_uri()}') }}\n"
        for file, weight, slope in _FACES
    )
    style = weasyprint.CSS(
        string=faces + "html, svg text { font-family: 'DejaVu Sans' }", font_config=config, url_fetcher=nothing_else
    )
    kept, collecting = os.environ.get("SOURCE_DATE_EPOCH"), gc.isenabled()
    # The library's fonts carry the time they were cut down at; this pins it.
    os.environ["SOURCE_DATE_EPOCH"] = "0"
    # Boxes by the hundred thousand, all of them needed to the end: looking them over again and again takes a tenth.
    gc.disable()
    try:
        page_made = weasyprint.HTML(string=page, url_fetcher=nothing_else)
        return page_made.write_pdf(
            stylesheets=[style],
            font_config=config,
            pdf_identifier=b"least-clutch sheet",
            pdf_variant="pdf/ua-1",
            custom_metadata=False,
        )
    finally:
        if collecting:
            gc.enable()
        if kept is None:
            del os.environ["SOURCE_DATE_EPOCH"]
        else:
            os.environ["SOURCE_DATE_EPOCH"] = kept
