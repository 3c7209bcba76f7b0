"""A contractor's logo: read, held to its limits and drawn anew, so that nothing else in the file travels on."""

from __future__ import annotations

import io
from pathlib import Path

from advisor.core.errors import InputError

MAX_BYTES = 2_000_000
_MOST_PX, _KEPT_PX = 6_000, 600


def read_logo(path: Path) -> bytes:
    """A logo's file.

    Raises
    ------
    InputError
        It cannot be read, or is too large.
    """
    try:
        if not path.is_file():  # reading a pipe or a terminal would wait for ever
            raise FileNotFoundError(path)
        with path.open("rb") as stream:
            content = stream.read(MAX_BYTES + 1)
    except (OSError, ValueError) as error:
        raise InputError("contractor.logo", path.name, "this file cannot be read", "name a PNG or JPEG file") from error
    return content


def as_png(content: bytes) -> tuple[bytes, tuple[int, int]]:
    """A logo as a PNG of at most 600 pixels, and its width and height.

    Raises
    ------
    InputError
        It is too large, or no PNG or JPEG picture.
    """
    if len(content) > MAX_BYTES:
        raise InputError("contractor.logo", None, "the file is larger than 2 MB", "save the picture smaller")
    import warnings

    from PIL import Image, UnidentifiedImageError

    try:
        with warnings.catch_warnings():
            warnings.simplefilter("error")
            picture = Image.open(io.BytesIO(content), formats=("PNG", "JPEG"))
            if max(picture.size) > _MOST_PX:
                raise InputError("contractor.logo", picture.size, "the picture has too many points", "save it smaller")
            drawn = picture.convert("RGBA")
    except UnidentifiedImageError as error:
        raise InputError("contractor.logo", None, "this is no PNG or JPEG picture", "save it as one") from error
    except (OSError, SyntaxError, ValueError, Warning, Image.DecompressionBombError) as error:
        raise InputError("contractor.logo", None, "the picture is damaged", "save it again") from error
    drawn.thumbnail((_KEPT_PX, _KEPT_PX))
    made = io.BytesIO()
    drawn.save(made, "PNG")
    return made.getvalue(), drawn.size
