"""Words of file names and captions that are not the name of a work, by what they tell.

All words are folded as names.py folds them. The lists are common practice: what cameras, scanners, retouchers and
galleries write into names.
"""

from __future__ import annotations


def _words(text: str) -> tuple[str, ...]:
    return tuple(text.split())


# Two photographs whose names differ in one of these show different things; the value is what the word stands for.
MARKS = {
    **dict.fromkeys(("detail", "details", "det", "ausschnitt", "dettaglio", "closeup"), "detail"),
    **dict.fromkeys(("left", "links", "gauche", "lhs"), "left"),
    **dict.fromkeys(("right", "rechts", "droite", "rhs"), "right"),
    **dict.fromkeys(("middle", "centre", "center"), "centre"),
    **dict.fromkeys(("verso", "back", "reverse", "ruckseite"), "verso"),
    **dict.fromkeys(("recto", "front", "vorderseite"), "recto"),
    **dict.fromkeys(("top", "upper"), "top"),
    **dict.fromkeys(("bottom", "lower"), "bottom"),
    **dict.fromkeys(("installation", "install"), "installation"),
    **dict.fromkeys(("study", "studie", "etude", "sketch", "skizze", "maquette"), "study"),
    **dict.fromkeys(("unframed",), "unframed"),
    **dict.fromkeys(("framed",), "framed"),
    **dict.fromkeys(("unfinished", "progress"), "unfinished"),
    **dict.fromkeys(("before",), "before"),
    **dict.fromkeys(("after",), "after"),
    **dict.fromkeys(("raking", "infrared", "uv", "xray"), "examination"),
}

# Words that stand beside names and weigh little: articles, what was done to the file, what the work is made of.
FAINT = _words("""
    the a an of on in at and with from for to by der die das und von mit im auf le la les du de des et un une il lo
    final fin finals copy kopie edit edited retouched retouch hires highres lowres hi res high low web print srgb rgb
    cmyk adobe crop cropped scan scanned photo photograph photographs foto image img picture pic bild jpg tif master
    export new corrected corr small large big orig original draft ok approved flat full whole overall px dpi
    oil acrylic watercolour watercolor gouache tempera ink pencil charcoal pastel bronze canvas linen paper board
    wood panel painting paintings drawing drawings sculpture work werk artwork piece courtesy gallery collection
    artist pxl dsc
""")

# What cameras and scanners put before their counter. The counter numbers exposures, not works.
COUNTERS = _words("""
    img dsc dscn dscf dsci mg pict pxl sam cimg gopr dji mvi image scan scn photo picture bild foto imag hpim wp p wa
""")

# What stands before a work's number.
NUMBERING = _words("no nr num number n cat lot inv nummer numero work kat")

SUFFIXES = frozenset(
    _words("""
        jpg jpeg jpe jfif png tif tiff webp heic heif avif psd psb raw dng cr2 cr3 nef arw orf rw2 raf gif bmp jp2 jxl
        pdf
    """)
)

# Roman numerals of one letter count only where a title ends; the others anywhere.
ROMAN = {
    numeral: number
    for number, numeral in enumerate(
        _words("i ii iii iv v vi vii viii ix x xi xii xiii xiv xv xvi xvii xviii xix xx"), start=1
    )
}
