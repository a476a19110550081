"""A swatch that failed by what else happened to it, and by nothing that its settings did."""

from recommender.swatches.trial import Trial
from recommender.trade.settings import Settings


def nothing_to_move(trial: Trial, asked: Settings | None) -> bool:
    """Whether to sew a failed swatch again as it was set, once what happened to it is mended.

    So where a thread broke or the like, no reading is off, and the settings were those that were asked for: it tells nothing against
    them, and what was right to sew before it is right to sew after it. A reading that is off speaks of the settings whatever else
    happened, and settings that nobody asked for may themselves have broken the thread: there the moves stand.

    Parameters
    ----------
    asked : what the sewer was told to set, by a proposal or a plan; None where that is not known
    """
    return bool(trial.flags) and not trial.passed and not any(trial.readings.values()) and trial.settings == asked
