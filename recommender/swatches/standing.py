"""What stands at one moment of the log, worked out from its events one after the other."""

from collections.abc import Callable, Iterable
from dataclasses import dataclass, field, replace
from typing import TypeVar

from recommender.swatches.care import Care
from recommender.swatches.events import Event
from recommender.swatches.pending import Pending
from recommender.swatches.trial import Trial
from recommender.trade.fabric import Fabric
from recommender.trade.machine import Machine

Sewn = TypeVar("Sewn", Trial, Pending)


def of_another_cloth(these: Iterable[Sewn], change: Callable[[Fabric], Fabric] | None) -> list[Sewn]:
    """Those whose cloth is changed by `change`, as they are then; none where nothing changes it."""
    changed = [(one, change(one.fabric)) for one in these] if change else []
    return [replace(one, fabric=cloth) for one, cloth in changed if cloth != one.fabric]


@dataclass(slots=True)
class Standing:
    """Trials, machines, care, photos and planned swatches; it follows the log, event by event."""

    seen: int = 0
    """Number of the last event that was taken in."""
    trials: dict[str, Trial | None] = field(default_factory=dict)
    """By id the trial as last corrected, None where it was withdrawn, in the order in which they were first logged."""
    withdrawn: dict[str, Trial] = field(default_factory=dict)
    """By id the trials that were withdrawn and not brought back, as they last were."""
    machines: dict[str, Machine] = field(default_factory=dict)
    """By name the machine as last described."""
    care: list[Care] = field(default_factory=list)
    """What was done to the machines and not taken back, as it was logged."""
    photographed: set[str] = field(default_factory=set)
    """Ids of the trials that have a photo."""
    planned: dict[str, Pending] = field(default_factory=dict)
    """By id the planned swatches that were not dropped, sewn ones too."""
    sewn_as: dict[str, str] = field(default_factory=dict)
    """By the id of a trial the planned swatch that it is."""

    def take(self, event: Event) -> None:
        """Take in the next event."""
        match event.kind:
            case "machine" if event.machine is not None:
                self.machines[event.machine.name] = event.machine
            case "recorded" | "corrected" | "withdrawn":
                self._take_trial(str(event.trial_id), event)
            case "photo":
                self.photographed.add(str(event.trial_id))
            case "care" if event.care is not None:
                self.care.append(event.care)
            case "care withdrawn":
                self.care = [one for one in self.care if one.number != event.care_number]
            case "planned" | "plan corrected" if event.pending is not None:
                self.planned[event.pending.id] = event.pending
            case "dropped":
                self.planned.pop(str(event.pending_id), None)
        self.seen = event.number

    def pending(self) -> tuple[Pending, ...]:
        """The planned swatches that wait to be sewn; one whose trial is withdrawn waits again."""
        sewn = {pending for trial, pending in self.sewn_as.items() if self.trials[trial] is not None}
        return tuple(one for one in self.planned.values() if one.id not in sewn)

    def sewn(self, pending_id: str) -> Trial | None:
        """The last trial that a planned swatch has become and that counts."""
        trials = [self.trials[trial] for trial, pending in self.sewn_as.items() if pending == pending_id]
        return next((trial for trial in reversed(trials) if trial is not None), None)

    def _take_trial(self, trial_id: str, event: Event) -> None:
        if event.trial is not None:
            self.withdrawn.pop(trial_id, None)
        elif (last := self.trials[trial_id]) is not None:
            self.withdrawn[trial_id] = last
        self.trials[trial_id] = event.trial
        if event.pending_id is not None:
            self.sewn_as[trial_id] = event.pending_id
