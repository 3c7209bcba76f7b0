"""A document as one page of HTML that needs nothing else: no net, no script, no file beside it."""

from __future__ import annotations

import base64

from advisor.document.blocks import (
    Blanks,
    Block,
    Bullets,
    Document,
    Heading,
    Letterhead,
    Link,
    NextPage,
    Paragraph,
    Picture,
    Table,
)
from advisor.report.escape import in_html

_STYLE = """
:root { color-scheme: light dark }
body { font: 1rem/1.45 Georgia, serif; max-width: 48rem; margin: 1rem auto; padding: 0 1rem; overflow-wrap: anywhere }
h1 { font-size: 1.5rem } h2 { font-size: 1.15rem; margin: 1.4em 0 .3em } h3 { font-size: 1rem; margin: 1em 0 .2em }
.scroll { overflow-x: auto } table { border-collapse: collapse; width: 100%; font-size: .9rem; overflow-wrap: normal }
td, th { text-align: left; vertical-align: top; padding: .25rem .5rem .25rem 0; border-bottom: 1px solid #8888 }
.head { text-align: right; border-bottom: 1px solid; padding-bottom: .5rem }
.head img { float: left; max-height: 3.5rem }
.small, footer { font-size: .8rem } figure { overflow-x: auto }
svg { width: 100%; min-width: 34rem; height: auto; background: #fff }
.lines { display: flex; flex-wrap: wrap; gap: 2rem; margin-top: 3rem }
.lines span { flex: 1 10rem; border-top: 1px solid; font-size: .8rem }
@media print { hr { break-after: page; border: 0 } body { max-width: none; margin: 0 } }
"""
_POLICY = "default-src 'none'; style-src 'unsafe-inline'; img-src data:"


def html(document: Document) -> bytes:
    """The page's bytes."""
    body = fragment(document)
    page = (
        f'<!doctype html>\n<html lang="{in_html(document.language)}">\n<head>\n<meta charset="utf-8">\n'
        '<meta name="viewport" content="width=device-width, initial-scale=1">\n'
        f'<meta http-equiv="Content-Security-Policy" content="{_POLICY}">\n'
        f"<title>{in_html(document.title)}</title>\n<style>{_STYLE}</style>\n</head>\n<body>\n{body}\n"
        "</body>\n</html>\n"
    )
    return page.encode()


def fragment(document: Document) -> str:
    """The blocks and the foot alone, for a page that is there already."""
    body = "\n".join(_written(block) for block in document.blocks)
    return f"{body}\n<footer>{in_html(document.foot)}</footer>"


def _written(block: Block) -> str:
    match block:
        case Letterhead():
            lines = "<br>".join(map(in_html, block.lines))
            return f'<div class="head">{_logo(block)}{lines}</div>'
        case Heading():
            return f"<h{block.level}>{in_html(block.text)}</h{block.level}>"
        case Paragraph():
            return f"<p{_small(block)}>{in_html(block.text)}</p>"
        case Link():
            address = in_html(block.address)
            return f'<p class="small">{in_html(block.text)} <a href="{address}">{address}</a></p>'
        case Bullets():
            items = "".join(f"<li>{in_html(item)}</li>" for item in block.items)
            return f"<ul{_small(block)}>{items}</ul>"
        case Table():
            head = "".join(f"<th>{in_html(cell)}</th>" for cell in block.head)
            cells = ["".join(f"<td>{in_html(cell)}</td>" for cell in row) for row in block.rows]
            rows = "".join(f"<tr>{row}</tr>" for row in cells)
            head = f"<thead><tr>{head}</tr></thead>" if any(block.head) else ""
            return f'<div class="scroll"><table>{head}<tbody>{rows}</tbody></table></div>'
        case Picture():
            return f'<figure role="img" aria-label="{in_html(block.alt)}" style="margin:0">{block.svg}</figure>'
        case Blanks():
            lines = "".join(f"<span>{in_html(label)}</span>" for label in block.labels)
            return f'<div class="lines">{lines}</div>'
        case NextPage():
            return "<hr>"


def _small(block: Paragraph | Bullets) -> str:
    return ' class="small"' if block.is_small else ""


def _logo(block: Letterhead) -> str:
    if block.logo_png is None:
        return ""
    return f'<img alt="" src="data:image/png;base64,{base64.b64encode(block.logo_png).decode()}">'
