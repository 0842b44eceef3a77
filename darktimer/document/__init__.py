"""YAML files that people write: read with their places, validated with every fault at once."""

from darktimer.document.fields import Field
from darktimer.document.reader import Document, parse_document, read_document
from darktimer.document.section import Section, validate

__all__ = ["Document", "Field", "Section", "parse_document", "read_document", "validate"]
