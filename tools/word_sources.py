"""Finds every English text of the program that a person may read: the entries of the catalogue.

Knows where words stand: in templates behind `_(...)`, in Python behind `say`, `worded`, `counted`
and their kin or in an error; in the tables `tools/word_tables.py` finds them. Knows nothing of
gettext's files, which are written by `tools/words.py`.
"""

from __future__ import annotations

import ast
from collections.abc import Iterable, Iterator
from functools import cache

from jinja2 import ext

from tools import ROOT, word_tables

SOURCE = ROOT / "src" / "heapwright"
#: A text, or its forms for one and for many, with the file it stands in.
Found = tuple[str | tuple[str, str], str]

#: Calls that put texts into an answer.
_PUTTING = frozenset({"append", "put", "paragraph", "labelled", "bullets", "table", "_picture"})
#: Calls that hold the forms for one and for many.
_COUNTING = frozenset({"counted", "_count"})
#: Calls that are given words, or the name of a field for a person: as which arguments.
_LABELS: dict[str, tuple[int, ...]] = {
    "say": (0,),
    "worded": (0,),
    "word": (0,),
    "upper_first": (0,),
    "need": (0,),
    "Field": (0,),
    "read": (1,),
    "one_of": (1,),
    "several_of": (1,),
    "note": (1,),
    "within": (1,),
    "Choice": (1,),
    "read_fields": (0,),
    "water_amount": (2, 3),
    "_gain_words": (1,),
}
#: A variable of this name holds a template before it is said.
_TEMPLATE_NAMES = frozenset({"template", "opposite", "verdict"})
#: Tables in Python whose texts are all words: file and name.
_NAMED: dict[str, tuple[str, ...]] = {
    "workshop/whatif_jobs.py": ("PLAIN_WORDS",),
    "workshop/whatif_words.py": ("_IF_WORTH",),
    "workshop/scenario/read.py": ("_SITE",),
    "workshop/scenario/heap_form.py": ("_SHAPES",),
    "workshop/scenario/faults.py": ("_KINDS", "_LIMITS"),
    "web/faults.py": ("_TITLES", "_WHY"),
    "web/ready_form.py": ("_YES_NO", "CHOICES", "_LABELS"),
    "web/chart.py": ("LETTERS",),
    "journal/forms.py": ("SQUEEZES", "SMELLS", "PESTS", "LOOKS", "PLACES"),
    "heap/types.py": ("Wall", "Cover", "Ground"),
    "decisions/types.py": ("Doing",),
    "quantities/containers.py": ("Packing",),
    "quantities/parsing.py": ("_TOO_HOT", "_READ_AGAIN", "_IF_IT_SMOKES"),
    "cli/command_ready.py": ("READINESS",),
    "cli/simulate_words.py": ("_SIGN_WORDS",),
}
_LABEL_NAMES = frozenset({"what", "why", "instead", "kept", "label", "title", "told"})
#: Packages whose errors are not in the catalogue: defects of the model, never the person's doing.
_LEFT_OUT = ("heap", "fitting", "validation")


def every_text() -> Iterator[Found]:
    """Yield every text to be translated, with the file it stands in; some come several times."""
    yield from _of_templates()
    for path in sorted(SOURCE.rglob("*.py")):
        if path.relative_to(SOURCE).parts[0] not in _LEFT_OUT:
            name = path.relative_to(ROOT).as_posix()
            yield from ((text, name) for text in of_python(path.read_text("utf-8")))
    for short, names in _NAMED.items():
        for text in _of_named((SOURCE / short).read_text("utf-8"), names):
            yield text, f"src/heapwright/{short}"
    yield from word_tables.every_text()


def _of_named(source: str, names: Iterable[str]) -> Iterator[str]:
    """Yield the texts of module-wide tables and enumerations of these names; codes left out."""
    for node in ast.parse(source).body:
        target = node.targets[0] if isinstance(node, ast.Assign) else getattr(node, "target", node)
        if getattr(target, "id", getattr(target, "name", "")) in names:
            yield from _within(node)


def _within(node: ast.AST) -> Iterator[str]:
    if isinstance(node, ast.Dict):
        children: list[ast.AST] = list(node.values)
    elif isinstance(node, ast.ClassDef):
        children = [part for part in node.body if isinstance(part, ast.Assign)]
    else:
        children = list(ast.iter_child_nodes(node))
    if isinstance(node, ast.Constant):
        yield from _texts(node)
    for child in children:
        yield from _within(child)


def _of_templates() -> Iterator[Found]:
    options = {"trim_blocks": "true", "lstrip_blocks": "true", "silent": "false"}
    for path in sorted((SOURCE / "web" / "templates").rglob("*.html")):
        name = path.relative_to(ROOT).as_posix()
        with path.open("rb") as file:
            for _, _, words, _ in ext.babel_extract(file, ("_", "ngettext"), (), options):
                texts = (words,) if isinstance(words, str) else tuple(w for w in words or () if w)
                # A call with a name instead of a text (`_(one.name)`) says where that text stands.
                if len(texts) == 1:
                    yield texts[0], name
                elif texts:
                    yield (texts[0], texts[1]), name


def of_python(source: str) -> Iterator[str | tuple[str, str]]:
    """Yield the texts of a Python file.

    Parameters
    ----------
    source : str
        The file.

    """
    for node in ast.walk(ast.parse(source)):
        if isinstance(node, ast.Call):
            yield from _of_call(node, _name_of(node.func))
        elif isinstance(node, ast.Assign) and _name_of(node.targets[0]) in _TEMPLATE_NAMES:
            yield from _texts(node.value)
        elif (isinstance(node, ast.Return | ast.Yield) and node.value is not None) or isinstance(
            node, ast.AugAssign
        ):
            yield from (text for text in _spread(node.value) if " " in text)
        elif isinstance(node, ast.For | ast.comprehension) and _holds_template(node.target):
            yield from (text for text in _within(node.iter) if " " in text)
        elif isinstance(node, ast.For) and _name_of(_first(node.target)) in ("label", "title"):
            yield from (text for pair in _spread_pairs(node.iter) for text in pair)
        elif isinstance(node, ast.FunctionDef):
            yield from _of_defaults(node)


def _first(target: ast.expr) -> ast.expr:
    return target.elts[0] if isinstance(target, ast.Tuple) and target.elts else target


def _spread_pairs(node: ast.expr) -> Iterator[list[str]]:
    """Yield the first text of each pair of `for label, sentences in (("Why", ...), ...)`."""
    for pair in node.elts if isinstance(node, ast.Tuple | ast.List) else ():
        if isinstance(pair, ast.Tuple) and pair.elts:
            yield list(_texts(pair.elts[0]))


def _holds_template(target: ast.expr) -> bool:
    """Whether a loop runs over templates: `for day, template in ...`."""
    names = {part.id for part in ast.walk(target) if isinstance(part, ast.Name)}
    return bool(names & {"template", "words"})


def _of_defaults(node: ast.FunctionDef) -> Iterator[str]:
    """Yield what labels are when nobody gives one: `what: str = "Amount"`."""
    named = [*node.args.args[-len(node.args.defaults) :], *node.args.kwonlyargs]
    if not node.args.defaults:
        named = list(node.args.kwonlyargs)
    for argument, default in zip(named, [*node.args.defaults, *node.args.kw_defaults], strict=True):
        if argument.arg in _LABEL_NAMES and default is not None:
            yield from _texts(default)


def _of_call(node: ast.Call, name: str) -> Iterator[str | tuple[str, str]]:
    if name in _COUNTING:
        forms = [text for each in node.args for text in _texts(each)][:2]
        if forms:
            one, many = forms[0], forms[1] if forms[1:] else f"{forms[0]}s"
            # At the command line the number stands before the word by itself: cli/screen.py.
            front = "" if "{n}" in one else "{n} "
            yield f"{front}{one}", f"{front}{many}"
        return
    if name in ("dated", "date"):
        yield from (text for arg in node.args[1:2] for text in _texts(arg))
    if name in _PUTTING:
        yield from (text for arg in node.args for text in _spread(arg))
    for place in _word_places(node, name):
        if place < len(node.args):
            yield from _texts(node.args[place])
    for keyword in node.keywords:
        if name == "worded" or keyword.arg in _LABEL_NAMES:
            yield from _texts(keyword.value)


def _word_places(node: ast.Call, name: str) -> Iterable[int]:
    """Return which arguments of a call are words."""
    if name in _error_names():
        return range(len(node.args))
    if name == "need" and isinstance(node.func, ast.Attribute):
        return (1, 3)  # of a form on a page: the field's name stands first
    return _LABELS.get(name, ())


def _texts(node: ast.expr) -> Iterator[str]:
    """Yield the texts that a value may be: a text, one of two, or what stands in for nothing."""
    if isinstance(node, ast.Constant):
        if isinstance(node.value, str) and any(letter.isalpha() for letter in node.value):
            yield node.value
    elif isinstance(node, ast.IfExp):
        yield from _texts(node.body)
        yield from _texts(node.orelse)
    elif isinstance(node, ast.BoolOp):
        for value in node.values:
            yield from _texts(value)


def _spread(node: ast.expr | None) -> Iterator[str]:
    """Yield the texts of a value, or of each value of a tuple or list."""
    if isinstance(node, ast.Tuple | ast.List):
        for value in node.elts:
            yield from _spread(value)
    elif node is not None:
        yield from _texts(node)


def _name_of(function: ast.expr) -> str:
    if isinstance(function, ast.Attribute):
        return function.attr
    return function.id if isinstance(function, ast.Name) else ""


@cache
def _error_names() -> frozenset[str]:
    """Return the names of the family of errors: every class that comes from HeapwrightError."""
    bases: dict[str, list[str]] = {}
    for path in SOURCE.rglob("*.py"):
        for node in ast.walk(ast.parse(path.read_text("utf-8"))):
            if isinstance(node, ast.ClassDef):
                bases.setdefault(node.name, [_name_of(base) for base in node.bases])

    def is_error(name: str) -> bool:
        return name == "HeapwrightError" or any(is_error(base) for base in bases.get(name, ()))

    return frozenset(name for name in bases if is_error(name))
