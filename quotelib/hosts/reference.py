"""The help of every function as one page of HTML: by question, by chapter, with a search box; it needs no network."""

from html import escape

from quotelib._version import __version__
from quotelib.cautions import LAST_WORD, NO_ADVICE
from quotelib.docstrings import help_of, typed_example
from quotelib.questions import QUESTIONS
from quotelib.registry import FUNCTIONS, SheetFunction

STYLE = """
:root { color-scheme: light; }
body { font: 1rem/1.5 "Liberation Sans", Arial, sans-serif; color: #24302b; background: #ffffff; margin: 0; }
header, main, footer { max-width: 62rem; margin: 0 auto; padding: 1rem 1.25rem; }
h1, h2, h3 { line-height: 1.25; color: #24503f; }
h3 { font-family: "Liberation Mono", Consolas, monospace; font-size: 1rem; margin-bottom: .25rem; }
a { color: #1f5c46; }
a:focus-visible, input:focus-visible { outline: 3px solid #8a4b00; outline-offset: 2px; }
label { font-weight: bold; display: block; }
input { font: inherit; padding: .4rem .6rem; width: 100%; max-width: 30rem; border: 1px solid #55625c; }
table { border-collapse: collapse; width: 100%; }
th, td { text-align: left; vertical-align: top; padding: .3rem .75rem .3rem 0; border-bottom: 1px solid #c7d0cb; }
code { font-family: "Liberation Mono", Consolas, monospace; }
.function { border-top: 2px solid #2f5d4e; margin-top: 1.5rem; }
.source { color: #4b5751; font-style: italic; }
.skip { position: absolute; left: -100rem; }
.skip:focus { left: 1rem; top: 1rem; background: #ffffff; padding: .5rem; }
@media print { .search { display: none; } .function { break-inside: avoid; } }
"""

SCRIPT = """
const box = document.getElementById("search"), said = document.getElementById("found");
const entries = [...document.querySelectorAll("[data-words]")];
function search() {
  const words = box.value.toLowerCase().split(/\\s+/).filter(Boolean);
  let shown = 0;
  for (const entry of entries) {
    const found = words.every(word => entry.dataset.words.includes(word));
    entry.hidden = !found;
    if (found && entry.classList.contains("function")) shown += 1;
  }
  for (const section of document.querySelectorAll("section.chapter"))
    section.hidden = ![...section.querySelectorAll(".function")].some(entry => !entry.hidden);
  said.textContent = words.length ? shown + (shown === 1 ? " function" : " functions") : "";
}
box.addEventListener("input", search);
search();
"""


def reference_page() -> str:
    """The page, the same to the byte for the same library."""
    chapters = list(dict.fromkeys(function.chapter for function in FUNCTIONS.values()))
    contents = "".join(f'<li><a href="#{_anchor(chapter)}">{escape(chapter)}</a></li>\n' for chapter in chapters)
    questions = "".join(
        f'<tr data-words="{escape(_searched(question.words, *question.functions))}">'
        f'<th scope="row">{escape(question.words)}</th><td>{", ".join(map(_link, question.functions))}</td></tr>\n'
        for question in QUESTIONS
    )
    sections = "".join(_chapter(chapter) for chapter in chapters)
    return f"""<!DOCTYPE html>
<html lang="en-GB">
<head>
<meta charset="utf-8">
<meta name="viewport" content="width=device-width, initial-scale=1">
<title>Functions for quoting decorated hard goods</title>
<style>{STYLE}</style>
</head>
<body>
<a class="skip" href="#functions">To the functions</a>
<header>
<h1>Functions for quoting decorated hard goods</h1>
<p>Version {__version__}: {len(FUNCTIONS)} functions, to be typed into cells of LibreOffice Calc or Excel, or called from
Python. An argument in brackets may be left out. All figures in the examples are invented.</p>
<div class="search" role="search">
<label for="search">Search by name or word</label>
<input id="search" type="search" autocomplete="off">
<p id="found" role="status"></p>
</div>
</header>
<main>
<section aria-labelledby="questions">
<h2 id="questions">Which function do I want?</h2>
<table>
<thead><tr><th scope="col">Question</th><th scope="col">Functions, the one to try first at the front</th></tr></thead>
<tbody>
{questions}</tbody>
</table>
</section>
<nav aria-labelledby="functions">
<h2 id="functions">The functions by chapter</h2>
<ul>
{contents}</ul>
</nav>
{sections}</main>
<footer>
<p>{NO_ADVICE} {LAST_WORD}</p>
</footer>
<script>{SCRIPT}</script>
</body>
</html>
"""


def _chapter(chapter: str) -> str:
    functions = "".join(_function(each) for each in FUNCTIONS.values() if each.chapter == chapter)
    return (
        f'<section class="chapter" aria-labelledby="{_anchor(chapter)}">\n'
        f'<h2 id="{_anchor(chapter)}">{escape(chapter)}</h2>\n{functions}</section>\n'
    )


def _function(function: SheetFunction[..., object]) -> str:
    words = help_of(function)
    names = [each.name if each.required else f"[{each.name}]" for each in function.arguments]
    rows = "".join(
        f'<tr><th scope="row"><code>{escape(each.name)}</code></th>'
        f"<td>{escape(words.arguments[each.name].meaning)}</td><td>{escape(words.arguments[each.name].allowed)}</td></tr>\n"
        for each in function.arguments
    )
    heads = '<tr><th scope="col">Argument</th><th scope="col">Meaning</th><th scope="col">Allowed</th></tr>'
    table = f"<table>\n<thead>{heads}</thead>\n<tbody>\n{rows}</tbody>\n</table>\n" if rows else ""
    unit = f" [{function.result.unit}]" if function.result.unit else ""
    call, result = typed_example(function)
    example = f"<p>Example: <code>{escape(call)}</code> gives <code>{escape(result)}</code></p>\n" if result else ""
    notes = f"<p>{escape(words.notes)}</p>\n" if words.notes else ""
    searched = _searched(function.cell_name, function.chapter, words.summary, *names)
    return (
        f'<article class="function" data-words="{escape(searched)}" aria-labelledby="{function.cell_name}">\n'
        f'<h3 id="{function.cell_name}">{function.cell_name}({escape(", ".join(names))})</h3>\n'
        f"<p>{escape(words.summary)}</p>\n{table}<p>Gives: {escape(function.result.name)}{escape(unit)}. "
        f"{escape(words.returns)}</p>\n{notes}{example}"
        f'<p class="source">Source: {escape(words.source)}</p>\n</article>\n'
    )


def _link(name: str) -> str:
    return f'<a href="#{name}"><code>{name}</code></a>'


def _anchor(chapter: str) -> str:
    return "chapter-" + "-".join(chapter.lower().split())


def _searched(*words: str) -> str:
    return " ".join(words).lower()
