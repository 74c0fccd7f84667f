"""Every public function of the domain says what it takes, gives and rests on.

Read from the source without running it: a parameter left out or out of order, a float without its
``[unit]``, an array without its shape, an exception not told, or no References is a failure.
"""

from __future__ import annotations

import ast
import inspect
import re
from collections.abc import Iterator
from pathlib import Path

import pytest

ROOT = Path(__file__).parents[2]
ROOMS = ("heat", "line", "flock", "hygiene", "packs", "money", "rules", "day", "season")
SECTION = re.compile(r"^([A-Z][A-Za-z]+)\n-{3,}\n", re.MULTILINE)
UNIT = re.compile(r"\[[^\[\]]+\]")
WORD = re.compile(r"\w+")
LEFT_OUT = {
    "rules/build.py": "one function for each table of a profile, table in and part out; the module "
    "says so once, and the fields are documented where they are kept, in rules/model.py",
    "line/floor.py": "new_log fills a private record for the two simulators beside it",
}
"""Modules whose functions are not asked, each with its reason."""


def modules() -> Iterator[Path]:
    """Every module of the domain packages."""
    for room in ROOMS:
        yield from sorted((ROOT / "src" / "pinfeather" / room).glob("*.py"))


def public_functions(path: Path) -> Iterator[ast.FunctionDef]:
    """Every function at the top of a module whose name has no leading underscore."""
    for node in ast.parse(path.read_text(encoding="utf-8")).body:
        if isinstance(node, ast.FunctionDef) and not node.name.startswith("_"):
            yield node


def sections(docstring: str) -> dict[str, str]:
    """Split a numpydoc docstring by its underlined headings."""
    text = inspect.cleandoc(docstring)
    marks = list(SECTION.finditer(text))
    ends = [*(m.start() for m in marks), len(text)][1:]
    return {m[1]: text[m.end() : end] for m, end in zip(marks, ends, strict=True)}


def entries(section: str) -> dict[str, str]:
    """Name to header and description, in order; ``a, b : float`` gives two names."""
    found: dict[str, str] = {}
    names: list[str] = []
    for line in section.splitlines():
        if line and not line[0].isspace():
            head = line.split(" : ")[0] if " : " in line else line
            names = [name.strip().lstrip("*") for name in head.split(",")]
            found.update(dict.fromkeys(names, line))
        else:
            for name in names:
                found[name] += "\n" + line
    return found


def parameters(node: ast.FunctionDef) -> list[ast.arg]:
    """The parameters in the order of the signature."""
    a = node.args
    extra = [arg for arg in (a.vararg, a.kwarg) if arg]
    return [*a.posonlyargs, *a.args, *a.kwonlyargs, *extra]


def raised(node: ast.FunctionDef) -> set[str]:
    """Names of the exceptions raised in the body, nested functions included."""
    found = set()
    for one in ast.walk(node):
        if isinstance(one, ast.Raise) and one.exc is not None:
            call = one.exc.func if isinstance(one.exc, ast.Call) else one.exc
            name = ast.unparse(call).split(".")[-1]
            if name[:1].isupper():
                found.add(name)
    return found


def parameter_faults(node: ast.FunctionDef, documented: dict[str, str]) -> Iterator[str]:
    """Parameters left out, out of order, or without unit or shape."""
    given = parameters(node)
    for arg in given:
        said = documented.get(arg.arg)
        kind = ast.unparse(arg.annotation) if arg.annotation else ""
        words = set(WORD.findall(kind))
        if said is None:
            yield f"{arg.arg} is not documented"
            continue
        head = said.partition("\n")[0]
        # "ndarray or float" works on each element, whatever the shape; a sequence is a row
        if "ndarray" in head and "float" not in head and "shape" not in said:
            yield f"{arg.arg} is an array without a shape"
        is_float = (
            words & {"float", "float64", "Floats", "Array", "FloatArray"}
            and "Callable" not in words
        )
        if is_float and not UNIT.search(said):
            yield f"{arg.arg} has no [unit]"
    names = [arg.arg for arg in given]
    known = [name for name in documented if name in names]
    if known != [name for name in names if name in documented]:
        yield "parameters are out of order"
    yield from (f"{name} is no parameter" for name in documented if name not in known)


def faults(node: ast.FunctionDef) -> list[str]:
    """Everything a function's docstring leaves out."""
    docstring = ast.get_docstring(node, clean=False)
    if not docstring:
        return ["no docstring"]
    parts = sections(docstring)
    wrong = list(parameter_faults(node, entries(parts.get("Parameters", ""))))
    returns = ast.unparse(node.returns) if node.returns else "None"
    said = parts.get("Returns", parts.get("Yields"))
    if returns != "None" and said is None:
        wrong.append("no Returns")
    if returns in {"float", "float | None"} and said and not UNIT.search(said):
        wrong.append("the returned float has no [unit]")
    told = parts.get("Raises", "")
    wrong += [f"{name} is raised, not told" for name in sorted(raised(node)) if name not in told]
    if "References" not in parts:
        wrong.append("no References")
    return wrong


def all_faults(path: Path) -> list[str]:
    """Every fault in a module, one line each."""
    return [
        f"{path.name}:{node.lineno} {node.name}: {fault}"
        for node in public_functions(path)
        for fault in faults(node)
    ]


ASKED = [p for p in modules() if "/".join(p.parts[-2:]) not in LEFT_OUT]


@pytest.mark.parametrize("path", ASKED, ids=["/".join(p.parts[-2:]) for p in ASKED])
def test_every_public_function_tells_what_it_takes_gives_and_rests_on(path: Path):
    assert all_faults(path) == []


@pytest.mark.parametrize("name", LEFT_OUT)
def test_a_module_left_out_still_needs_to_be(name: str):
    assert all_faults(ROOT / "src" / "pinfeather" / name), f"take {name} off the list"


def test_the_walk_finds_the_functions():
    assert sum(1 for path in modules() for _ in public_functions(path)) > 300


def one(source: str) -> list[str]:
    node = ast.parse(source).body[0]
    assert isinstance(node, ast.FunctionDef)
    return faults(node)


GOOD = '''
def f(t_s: NDArray[np.float64], *, limit_degC: float) -> float:
    """Do it.

    Parameters
    ----------
    t_s : ndarray of shape (n,)
        Times [s].
    limit_degC : float
        Limit [degC].

    Returns
    -------
    float
        Time [s].

    Raises
    ------
    InputError
        If not.

    References
    ----------
    Derivation: shown.
    """
    raise InputError("t_s", t_s, "No.")
'''


def test_a_complete_docstring_has_no_fault():
    assert one(GOOD) == []


@pytest.mark.parametrize(
    ("drop", "fault"),
    [
        (" of shape (n,)", "t_s is an array without a shape"),
        (" [degC]", "limit_degC has no [unit]"),
        ("Time [s]", "the returned float has no [unit]"),
        ("    InputError\n", "InputError is raised, not told"),
        ("    References\n    ----------\n", "no References"),
        ("    limit_degC : float\n", "limit_degC is not documented"),
    ],
)
def test_each_thing_left_out_is_found(drop: str, fault: str):
    assert fault in one(GOOD.replace(drop, "", 1))


def test_parameters_out_of_order_are_found():
    first = "    t_s : ndarray of shape (n,)\n        Times [s].\n"
    second = "    limit_degC : float\n        Limit [degC].\n"

    assert one(GOOD.replace(first + second, second + first)) == ["parameters are out of order"]
