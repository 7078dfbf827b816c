"""One table of the job file, whichever section it is."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Self

from pydantic import BaseModel, ConfigDict, model_validator

from hillwright.job.fields import Conflict, Conflicts


class Section(BaseModel):
    """One table of the job file: frozen, and a key that nobody knows is an error."""

    model_config = ConfigDict(extra="forbid", frozen=True)

    def conflicts(self) -> Iterator[Conflict]:
        """Give the keys that do not go together, though each alone can be read."""
        return iter(())

    @model_validator(mode="after")
    def _agree(self) -> Self:
        if found := tuple(self.conflicts()):
            raise Conflicts(found)
        return self
