"""What a calculator is: what it asks, what it answers, and what that rests on."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass, field
from typing import Literal, TypeAlias

from pinfeather.finding import Finding
from pinfeather.units import Dimension

Kind: TypeAlias = (
    Dimension | Literal["percent", "number", "integer", "choice", "text", "lines", "file"]
)
Units: TypeAlias = Literal["us", "metric"]
Json: TypeAlias = "str | int | float | bool | list[Json] | dict[str, Json] | None"


@dataclass(frozen=True, slots=True)
class Input:
    """One thing a calculator asks for.

    Parameters
    ----------
    name : str
        As the option and the form's field are called.
    label : str
        In words.
    kind : str
        What is measured (written with its unit), or ``"percent"``, ``"number"``, ``"integer"``,
        ``"choice"``, ``"text"``, ``"lines"`` (several, one under the other) or ``"file"``.
    default : str
        What stands there first, as somebody would write it.
    metric : str
        The same on a metric farm; empty takes ``default``.
    hint : str
        How to write it or where to find it.
    options : tuple of (str, str)
        Codes and words of a choice.
    optional : bool
        Whether it may be left empty.
    """

    name: str
    label: str
    kind: Kind
    default: str = ""
    metric: str = ""
    hint: str = ""
    options: tuple[tuple[str, str], ...] = ()
    optional: bool = False

    def first(self, units: Units) -> str:
        """Return what stands in the field before anybody writes."""
        return self.metric if units == "metric" and self.metric else self.default


@dataclass(frozen=True, slots=True)
class Source:
    """Where a formula or a number stands, and how that is known.

    Parameters
    ----------
    citation : str
        Author, title, year, place; or how it was derived.
    status : str
        ``"read"``, ``"second hand"``, ``"unverified"``, ``"disputable"``, ``"common practice"``,
        ``"assumed"``, ``"computed"`` or ``"derived"``.
    """

    citation: str
    status: str


@dataclass(frozen=True, slots=True)
class Row:
    """One line of an answer, ready to read.

    Parameters
    ----------
    label : str
        What it is.
    value : str
        With its unit.
    band : str
        What else it might be, or what it means; may be empty.
    """

    label: str
    value: str
    band: str = ""


@dataclass(frozen=True, slots=True)
class Result:
    """An answer.

    Parameters
    ----------
    values : mapping
        For programs: SI, the unit at the end of each name.
    shown : tuple of Row
        For people, the answer itself first.
    findings : tuple of Finding
        What is wrong or must be known.
    notes : tuple of str
        Sentences that belong to the answer.
    sources : tuple of Source
        Sources that depend on what was asked.
    """

    values: Mapping[str, Json]
    shown: tuple[Row, ...]
    findings: tuple[Finding, ...] = ()
    notes: tuple[str, ...] = ()
    sources: tuple[Source, ...] = ()


@dataclass(frozen=True, slots=True)
class Given:
    """What was written, read; every accessor is for an input that exists.

    Parameters
    ----------
    units : str
        What the reader reads: ``"us"`` or ``"metric"``.
    read : mapping
        By input: a number in SI, a word, bytes of a file, or None where left empty.
    """

    units: Units
    read: Mapping[str, float | int | str | bytes | None]

    def number(self, name: str) -> float:
        """Return a number that must be there, in SI."""
        value = self.read[name]
        assert isinstance(value, float | int)  # noqa: S101 - reading made sure
        return float(value)

    def maybe(self, name: str) -> float | None:
        """Return a number in SI that may be left out."""
        return None if self.read[name] is None else self.number(name)

    def whole(self, name: str) -> int:
        """Return a whole number that must be there."""
        value = self.read[name]
        assert isinstance(value, int)  # noqa: S101 - reading made sure
        return value

    def word(self, name: str) -> str:
        """Return a choice or a text; empty where left out."""
        value = self.read[name]
        return value if isinstance(value, str) else ""

    def data(self, name: str) -> bytes | None:
        """Return a file's contents."""
        value = self.read[name]
        return value if isinstance(value, bytes) else None


@dataclass(frozen=True, slots=True)
class Calculation:
    """A calculator.

    Parameters
    ----------
    name : str
        One word: the command and the end of the page's address.
    title : str
        A few words.
    question : str
        What it answers, one sentence.
    formula : str
        In plain text.
    valid_range : str
        Where it holds and where it does not.
    sources : tuple of Source
        At least one.
    inputs : tuple of Input
        What it asks.
    run : callable
        From what was read to the answer.
    example : str
        The command's arguments for an example that works.
    cautions : tuple of str
        Shown with every answer; not empty where the work can hurt somebody.
    aliases : mapping
        From an argument of the domain to the input that gave it, where the names differ by more
        than the unit.
    """

    name: str
    title: str
    question: str
    formula: str
    valid_range: str
    sources: tuple[Source, ...]
    inputs: tuple[Input, ...]
    run: Callable[[Given], Result]
    example: str
    cautions: tuple[str, ...] = ()
    aliases: Mapping[str, str] = field(default_factory=dict)

    def input(self, name: str) -> Input | None:
        """Return one input by its name."""
        return next((one for one in self.inputs if one.name == name), None)


@dataclass(frozen=True, slots=True)
class Group:
    """Calculators that belong together.

    Parameters
    ----------
    title : str
        In words.
    calculations : tuple of Calculation
        In order.
    """

    title: str
    calculations: tuple[Calculation, ...]
