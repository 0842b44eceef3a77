"""Reads a plan from a file: every fault at once, each with its place."""

from collections.abc import Iterable, Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from pathlib import Path

from darktimer import shipped
from darktimer.document import Document, parse_document, read_document, validate
from darktimer.errors import Fault, FileError, Finding, FindingsError
from darktimer.plan.checks import faults
from darktimer.plan.model import Plan


@dataclass(frozen=True)
class PlanFile:
    """A plan as it is written, and the file it came from, which knows each part's place."""

    plan: Plan
    document: Document

    def located(self, findings: Iterable[Finding]) -> list[Fault]:
        """Findings with their line and column."""
        return [self.document.fault(*finding) for finding in findings]

    @contextmanager
    def blamed(self) -> Iterator[None]:
        """Work within; what it finds wrong with the plan becomes a `FileError`."""
        try:
            yield
        except FindingsError as error:
            raise FileError(self.document.source, self.located(error.findings)) from None


def read_plan(name_or_path: str) -> PlanFile:
    """The plan in a file, or shipped under a bare name.

    Raises `NotFoundError`, or `FileError` with every fault of the file.
    """
    return read_plan_file(shipped.find("sequences", "plan", name_or_path))


def read_plan_file(path: Path) -> PlanFile:
    """The plan in ``path``; raises `FileError` with every fault of the file."""
    return _plan_in(read_document(path))


def read_plan_text(text: str, path: Path) -> PlanFile:
    """The plan in ``text``, which is to stand in ``path``; raises as `read_plan_file` does."""
    return _plan_in(parse_document(text, path))


def _plan_in(document: Document) -> PlanFile:
    file = PlanFile(validate(Plan, document), document)
    if found := list(faults(file.plan)):
        raise FileError(document.source, file.located(found))
    return file
