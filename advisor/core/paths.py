"""Where the data, pages and assets lie: in the wheel's bundle, or beside the package in a clone."""

from pathlib import Path

_PACKAGE = Path(__file__).resolve().parents[1]
_BUNDLE = _PACKAGE / "_bundle"
_ROOT = _BUNDLE if _BUNDLE.is_dir() else _PACKAGE.parent

DATA = _ROOT / "data"
CASES = DATA / "cases"
PAGES = _ROOT / "pages"
ASSETS = _ROOT / "assets"
