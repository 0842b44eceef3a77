"""YAML files that people write: read with their places, validated with every fault at once."""

from darktimer.document.reader import Document, read_document
from darktimer.document.section import Section, validate

__all__ = ["Document", "Section", "read_document", "validate"]
