"""The words of a PDF, page by page."""

import pypdfium2

_HYPHENS = dict.fromkeys(map(ord, "-\u00ad\ufffe"))  # the last is what the reader puts for one at a line's end


def squashed(text):
    """Text without blanks, which a PDF does not keep, nor hyphens, of which it does not tell whether they end a line only."""
    return "".join(text.translate(_HYPHENS).split())


def page_texts(content):
    """The text of each page of a PDF, without blanks."""
    document = pypdfium2.PdfDocument(content)
    try:
        return [squashed(page.get_textpage().get_text_range()) for page in document]
    finally:
        document.close()
