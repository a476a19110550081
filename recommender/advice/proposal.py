"""A proposal: settings with bands, beside the baseline, with the chance to pass, the reasons and the moves."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from recommender.advice.bands import Band, bands, windows
from recommender.advice.model import Model
from recommender.advice.moves import Move, best_settings, moves_between
from recommender.advice.scoring.verdict import Lead
from recommender.advice.seam import Seam
from recommender.advice.why import Term, reasons
from recommender.swatches.trial import Trial
from recommender.trade.baseline import AppliedRule
from recommender.trade.fabric import Fabric
from recommender.trade.settings import Settings
from recommender.trade.thread import Thread

ENOUGH_RATINGS = 15
"""Below this number of ratings a pass chance is the prior's guess, and the tool says that it is."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Proposal:
    """What to sew next, and how far to trust it."""

    fabric: Fabric
    """The cloth."""
    stitch: str
    """Name of the stitch."""
    machine: str
    """Name of the machine."""
    needle_thread: Thread
    """Thread in the needles."""
    looper_thread: Thread
    """Thread in the loopers."""
    settings: Settings
    """What the model proposes, on the machine's steps and inside its ranges."""
    baseline: Settings
    """What the trade's rules alone propose."""
    rules: tuple[AppliedRule, ...]
    """The rules that led to the baseline."""
    bands: Mapping[str, Band]
    """By control: where its best setting lies, with a probability of 80 %."""
    windows: Mapping[str, Band]
    """By control: how far it can be moved alone before the pass chance drops by more than 10 points."""
    pass_chance: float
    """Chance that a swatch with `settings` passes."""
    baseline_chance: float
    """Chance that a swatch with `baseline` passes."""
    ratings: int
    """Number of rated swatches behind the chances."""
    moves: tuple[Move, ...]
    """The fewest controls to move from the last swatch of this fabric and stitch on this machine; they lead to `settings`."""
    why: Mapping[str, tuple[Term, ...]]
    """By control: the terms that add up to `settings` minus `baseline`."""
    last: Trial | None
    """The last swatch of this fabric and stitch on this machine."""
    lead: Lead = "model"
    """Which leads for this stitch in this studio: `settings`, or `baseline` where the model did not beat it."""
    lead_why: str = ""
    """The reason, as a sentence."""

    @property
    def leading_chance(self) -> float:
        """Chance that a swatch with `leading` passes."""
        return self.pass_chance if self.lead == "model" else self.baseline_chance

    @property
    def leading(self) -> Settings:
        """The settings to sew: those of the one that leads."""
        return self.settings if self.lead == "model" else self.baseline

    @property
    def chance_known(self) -> bool:
        """Whether there are ratings enough to say how likely a pass is."""
        return self.ratings >= ENOUGH_RATINGS


def propose(model: Model, seam: Seam, earlier: Sequence[Trial] = (), trials: Sequence[Trial] | None = None) -> Proposal:
    """The proposal for a seam, from its earlier swatches, if any; with the log at hand, `why` counts the swatches of its terms."""
    outlook, baseline = model.outlook(seam, earlier), seam.baseline.settings
    last = earlier[-1] if earlier else None
    settings = best_settings(outlook, seam, last.settings if last else None)
    chances = outlook.pass_chance(seam.amounts_of([settings, baseline]))
    return Proposal(
        fabric=seam.fabric,
        stitch=seam.stitch.name,
        machine=seam.machine.name,
        needle_thread=seam.needle_thread,
        looper_thread=seam.looper_thread,
        settings=settings,
        baseline=baseline,
        rules=seam.baseline.rules,
        bands=bands(outlook, seam, settings),
        windows=windows(outlook, seam, settings),
        pass_chance=float(chances[0]),
        baseline_chance=float(chances[1]),
        ratings=model.standard.ratings,
        moves=moves_between(last.settings, settings) if last else (),
        why=reasons(model, seam, outlook, settings, trials),
        last=last,
    )
