"""PDFs: the words of the page, the paper asked for, tagged for readers, the same bytes, nothing off the paper."""

import functools
import http.server
import io
import os
import re
import subprocess
import sys
import threading

import pypdf
import pytest
from PIL import Image

from advisor.reporting.sheets import sheet
from advisor.reporting.sheets.blocks import Number, plain, walk
from tests import shipped

from . import made

pytestmark = pytest.mark.needs("pango")

SHEETS = (("pack-over-stroke", "customer"), ("not-on-file-measured", "fitter"), ("nothing-fits", "customer"))
#: Points. ISO 216 A4 210 x 297 mm; ANSI/ASME Y14.1 letter 8.5 x 11 in.
PAPER = {"a4": (210 / 25.4 * 72, 297 / 25.4 * 72), "letter": (612, 792)}


def pdf(name, audience, paper="a4"):
    """The PDF of a sheet."""
    return sheet.sheet(made.record(name), made.words(), audience, "pdf", paper=paper)


@pytest.fixture(scope="module")
def printed():
    """Every sheet printed once."""
    return {one: pdf(*one) for one in SHEETS}


@pytest.mark.parametrize("one", SHEETS)
def test_the_words_of_the_page_are_on_paper(printed, one):
    text = "".join(page.extract_text() for page in pypdf.PdfReader(io.BytesIO(printed[one])).pages)
    squeezed = re.sub(r"\s+", "", text)
    for _, part in walk(made.document(*one), on_paper=True):
        if isinstance(part, Number):
            assert re.sub(r"\s+", "", part.text) in squeezed, part
    assert "Inventedshop" in squeezed


@pytest.mark.parametrize("paper", PAPER)
def test_the_paper_asked_for(paper):
    reader = pypdf.PdfReader(io.BytesIO(pdf("nothing-fits", "customer", paper)))
    for page in reader.pages:
        assert (float(page.mediabox.width), float(page.mediabox.height)) == pytest.approx(PAPER[paper], abs=0.6)


@pytest.mark.parametrize("one", SHEETS)
def test_it_is_tagged_and_titled_and_dateless(printed, one):
    reader = pypdf.PdfReader(io.BytesIO(printed[one]))
    root = reader.trailer["/Root"]
    assert root["/MarkInfo"]["/Marked"] and "/StructTreeRoot" in root and root["/Lang"] == "en"
    assert reader.metadata.title and reader.metadata.creation_date is None and reader.metadata.modification_date is None
    fonts = {
        font["/BaseFont"].rpartition("+")[2]
        for page in reader.pages
        for font in (ref.get_object() for ref in page["/Resources"]["/Font"].values())
    }
    assert all(font.startswith("DejaVu") for font in fonts), fonts


def test_the_same_bytes_in_another_process(printed):
    """Another process with another seed of Python's hashes prints the same file."""
    one = SHEETS[0]
    # What is read and decided comes from the folder of this run; what is printed is made anew.
    shared = {name: os.environ[name] for name in ("XDG_CACHE_HOME", shipped.RUN)}
    script = f"import sys; from tests.reporting.test_pdf import pdf; sys.stdout.buffer.write(pdf(*{one!r}))"
    ran = subprocess.run(
        [sys.executable, "-c", script],
        capture_output=True,
        cwd=made.ROOT,
        env={"PYTHONHASHSEED": "77", "PATH": "/usr/bin:/bin", "HOME": "/nowhere"} | shared,
    )
    assert ran.stdout == printed[one], ran.stderr.decode()[-500:]


@pytest.mark.needs("poppler")
def test_nothing_runs_off_the_paper(printed, tmp_path):
    """Rendered by poppler: something stands on every page, and the outer 8 mm are white."""
    for number, one in enumerate(SHEETS):
        (tmp_path / "sheet.pdf").write_bytes(printed[one])
        subprocess.run(
            ["pdftoppm", "-r", "50", "-gray", "-png", tmp_path / "sheet.pdf", tmp_path / f"page{number}"], check=True
        )
        pages = sorted(tmp_path.glob(f"page{number}*.png"))
        assert pages
        for page in pages:
            with Image.open(page).convert("L") as image:
                wide, high = image.size
                edge = int(8 / 25.4 * 50)
                assert image.getextrema()[0] < 100
                for box in ((0, 0, edge, high), (wide - edge, 0, wide, high), (0, 0, wide, edge)):
                    assert image.crop(box).getextrema()[0] > 250, (one, page.name, box)


@pytest.mark.parametrize("one", SHEETS)
def test_what_a_page_begins_with_is_not_left_alone(printed, one):
    """No last page with the foot only, no heading or line that announces a list as the last thing on a page."""
    document = made.document(*one)
    headings = {plain(section.title) for section in document.sections}
    pages = [page.extract_text().strip().splitlines() for page in pypdf.PdfReader(io.BytesIO(printed[one])).pages]
    foot = next(place for place, line in enumerate(pages[-1]) if line.startswith("What the makers of car and clutch"))
    assert len(" ".join(pages[-1][:foot]).split()) > 20
    for lines in pages:
        told = [line.strip() for line in lines if not re.fullmatch(r"\s*\d+ / \d+\s*", line)]
        assert told[-1] not in headings and not told[-1].endswith(":"), told[-1]


def test_a_pdf_fetches_nothing(tmp_path):
    """Neither a file nor a page of a server that runs here gets into it; the printer by itself would take both."""
    import weasyprint

    from advisor.reporting.sheets.pdf import pdf as as_pdf

    Image.new("L", (9, 9)).save(tmp_path / "spot.png")
    asked = []

    class Heard(http.server.SimpleHTTPRequestHandler):
        def log_message(self, *_):
            asked.append(self.path)

    with http.server.ThreadingHTTPServer(("127.0.0.1", 0), functools.partial(Heard, directory=tmp_path)) as server:
        threading.Thread(target=server.serve_forever, daemon=True).start()
        served = f"http://127.0.0.1:{server.server_port}/spot.png"
        page = (
            f"<html lang='en'><title>Two spots</title><img alt='one' src='{(tmp_path / 'spot.png').as_uri()}'>"
            f"<img alt='two' src='{served}'></html>"
        )
        ours = as_pdf(page)
        heard_of_ours = list(asked)
        theirs = weasyprint.HTML(string=page).write_pdf()
        server.shutdown()
    pictures = [sum(len(page.images) for page in pypdf.PdfReader(io.BytesIO(text)).pages) for text in (ours, theirs)]
    assert (pictures[0], heard_of_ours) == (0, [])
    assert pictures[1] > 0 and asked == ["/spot.png"]


@pytest.mark.parametrize("name", ("pack-over-stroke", "half-thrust-strong-single"))
def test_a_customers_sheet_takes_two_pages(name):
    assert len(pypdf.PdfReader(io.BytesIO(pdf(name, "customer"))).pages) == 2
