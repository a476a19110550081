"""Two rivals that learn from failures too: a Gaussian process on the readings, and a logistic regression of the rating."""

import warnings
from collections.abc import Sequence

import numpy as np
from scipy.linalg import cho_factor, cho_solve
from scipy.optimize import minimize
from sklearn.exceptions import ConvergenceWarning
from sklearn.gaussian_process import GaussianProcessRegressor
from sklearn.gaussian_process.kernels import ConstantKernel, DotProduct, Kernel, WhiteKernel
from sklearn.linear_model import LogisticRegression

from recommender.trade.readings import READINGS
from recommender.trade.settings import Settings
from tests.benchmarks.logging_policy import Swatch, moved
from tests.benchmarks.pieces import Piece
from tests.benchmarks.rivals import CONTROLS, Array, Described, amounts_on_steps, at_amounts, from_baseline, start, troubleshot

SLACK = 0.3
"""How near to nought the best settings bring every reading."""
REACH = np.array([1.5, 1.5, 1.5, 1.5, 1.2, 1.0, 1.4])
"""How far the best amount of each control lies from the baseline, in the units of `from_baseline`."""
IMPLIED = 0.15
"""Extra variance of a reading that nobody made, but that a pass implies to be near nought."""
TUNED_ROWS, KEPT_ROWS = 400, 1000
"""The Gaussian process's limit: scales are tuned on no more rows than the first, predictions rest on no more than the second."""


class GaussianReadings(Described):
    """A Gaussian process for every reading; the settings at which all are expected nearest to nought.

    The process is made of cloth, words and amounts, their squares and their products; of four kernels that were tried, three of them
    with a radial part, this one passed the most first swatches. Swatches of the cloth at hand are learned by conditioning on them. On an
    empty log it has no idea of what a control does, and troubleshoots by the chart.
    """

    name = "Gaussian process"

    def fit(self, log: Sequence[Swatch]) -> None:
        """Tune the scales of each reading's process, then take in the rows."""
        self._learn_words(log)
        told = {reading: [(swatch, *said) for swatch in log if (said := _told(swatch, reading))] for reading in READINGS}
        self.limited = any(len(rows) > TUNED_ROWS for rows in told.values())
        self._processes = [self._process(rows) for rows in told.values()] if all(told.values()) else []

    def first(self, piece: Piece) -> Settings:
        """The settings of least expected squared readings."""
        return self._best(piece, ()) if self._processes else start(piece)

    def next(self, piece: Piece, history: Sequence[Swatch]) -> Settings:
        """The same, the swatches of this cloth told; by the chart where that was sewn and failed before."""
        if self._processes:
            settings = self._best(piece, history)
            if settings not in [swatch.settings for swatch in history]:
                return settings
        return troubleshot(piece, history)

    def _rows(self, piece: Piece, amounts: Array) -> Array:
        described = np.broadcast_to(self._features([piece]), (len(amounts), self._features([piece]).shape[1]))
        return np.concatenate([described, np.nan_to_num(amounts)], axis=1)

    def _process(self, told: Sequence[tuple[Swatch, float, float]]) -> GaussianProcessRegressor:
        rows = np.concatenate([self._rows(s.piece, from_baseline(s.piece, s.settings)[None]) for s, _, _ in told])
        scores, extra = np.array([score for _, score, _ in told]), np.array([more for _, _, more in told])
        kernel: Kernel = (
            ConstantKernel(0.05, (1e-4, 10)) * DotProduct(1.0, (1e-2, 10))
            + ConstantKernel(0.003, (1e-6, 1)) * DotProduct(1.0, (1e-2, 10)) ** 2
            + WhiteKernel(0.1, (1e-3, 2))
        )
        some = np.linspace(0, len(rows) - 1, min(len(rows), TUNED_ROWS)).astype(int)
        kept = np.linspace(0, len(rows) - 1, min(len(rows), KEPT_ROWS)).astype(int)
        with warnings.catch_warnings():
            warnings.simplefilter("ignore", ConvergenceWarning)  # a scale at the end of its range is an answer like any other
            tuned = GaussianProcessRegressor(kernel, alpha=extra[some] + 1e-8, optimizer=_briefly).fit(rows[some], scores[some])
            whole = GaussianProcessRegressor(tuned.kernel_, alpha=extra[kept] + 1e-8, optimizer=None)
            return whole.fit(rows[kept], scores[kept])

    def _best(self, piece: Piece, history: Sequence[Swatch]) -> Settings:
        """A few rounds of: a straight line through the processes here, the least expected squares on it."""
        runs = np.isfinite(from_baseline(piece, start(piece)))
        here = np.zeros(len(CONTROLS)) if not history else np.nan_to_num(from_baseline(piece, history[-1].settings))
        for _ in range(4):
            bend, slope = self._quadratic(piece, history, here, runs)
            here = here.copy()
            here[runs] = np.clip(-np.linalg.solve(bend, slope), -4 * REACH[runs], 4 * REACH[runs])
        return at_amounts(piece, amounts_on_steps(piece, here, bend, slope, runs))

    def _quadratic(self, piece: Piece, history: Sequence[Swatch], here: Array, runs: Array) -> tuple[Array, Array]:
        """Cost d'Hd + 2 d'q of amounts d on the straight line through the processes at `here`."""
        places = np.flatnonzero(runs)
        stencil = np.vstack([here, here + 0.5 * np.eye(len(CONTROLS))[places]])
        to_line = np.vstack([np.eye(len(stencil))[0], (np.eye(len(stencil))[1:] - np.eye(len(stencil))[0]) / 0.5])
        to_line[0] -= here[places] @ to_line[1:]  # the line's value at the baseline, not at `here`
        second = np.zeros((len(stencil), len(stencil)))
        for process, reading in zip(self._processes, READINGS, strict=True):
            mean, cov = self._foreseen(process, reading, piece, history, stencil)
            line, spread = to_line @ mean, to_line @ cov @ to_line.T
            second += np.outer(line, line) + spread
        return second[1:, 1:] / SLACK**2 + np.diag(REACH[runs] ** -2.0), second[1:, 0] / SLACK**2

    def _foreseen(
        self, process: GaussianProcessRegressor, reading: str, piece: Piece, history: Sequence[Swatch], amounts: Array
    ) -> tuple[Array, Array]:
        """Mean and covariance of a reading at some amounts, given the log and this cloth's swatches."""
        told = [(from_baseline(piece, s.settings), *said) for s in history if (said := _told(s, reading))]
        sewn = np.array([amount for amount, _, _ in told]).reshape(len(told), len(CONTROLS))
        mean, cov = process.predict(self._rows(piece, np.vstack([sewn, amounts])), return_cov=True)
        noise = float(process.kernel_.k2.noise_level)
        cov = cov - noise * np.eye(len(cov))
        n = len(told)
        if not n:
            return mean, cov
        seen = cho_factor(cov[:n, :n] + np.diag([noise + more + 1e-6 for _, _, more in told]))
        gain = cho_solve(seen, cov[:n, n:]).T
        return mean[n:] + gain @ (np.array([score for _, score, _ in told]) - mean[:n]), cov[n:, n:] - gain @ cov[:n, n:]


def _told(swatch: Swatch, reading: str) -> tuple[float, float] | None:
    """What a swatch says of a reading, and the variance of saying it by a pass alone; None where it says nothing."""
    if reading in swatch.readings:
        return swatch.readings[reading], 0.0
    return (0.0, IMPLIED) if swatch.passed else None


def _briefly(cost: object, start_at: Array, bounds: Array) -> tuple[Array, float]:
    """No more than 30 steps to the scales: the time limit of the Gaussian process."""
    found = minimize(cost, start_at, jac=True, method="L-BFGS-B", bounds=bounds, options={"maxiter": 30})
    return found.x, found.fun


class LogisticPass(Described):
    """The chance of a pass as a logistic regression on cloth, amounts and their squares, searched over the machine's steps.

    Its penalty is the best of four that were tried, from 0.01 to 0.3. It troubleshoots by the chart, which did better than the
    likeliest of the chart's moves.
    """

    name = "logistic pass model"

    def fit(self, log: Sequence[Swatch]) -> None:
        """Fit on every rating; too few passes or fails leave the baseline."""
        self._learn_words(log)
        self._log = list(log)
        self._model = self._fitted(self._log)

    def _fitted(self, log: Sequence[Swatch]) -> LogisticRegression | None:
        passed = np.array([swatch.passed for swatch in log], dtype=bool)
        if min(passed.sum(), (~passed).sum()) < 5:
            return None
        rows = np.array([self._row(s.piece, np.nan_to_num(from_baseline(s.piece, s.settings))) for s in log])
        return LogisticRegression(C=0.01, max_iter=1000).fit(rows, passed)

    def _row(self, piece: Piece, amounts: Array) -> Array:
        described = self._features([piece])[0]
        pulls = np.outer(np.append(described[:7], described[-len(self._stitches) - len(self._machines) :]), amounts).ravel()
        return np.concatenate([described, amounts, amounts**2, pulls])

    def _worth(self, model: LogisticRegression, piece: Piece, tried: Sequence[Settings]) -> Array:
        """Log odds of a pass, less the usual pull to the baseline: without it the search runs off to where nothing was ever sewn."""
        amounts = [np.nan_to_num(from_baseline(piece, settings)) for settings in tried]
        odds = model.decision_function(np.array([self._row(piece, amount) for amount in amounts]))
        return np.asarray(odds - 0.5 * ((np.array(amounts) / REACH) ** 2).sum(axis=1))

    def first(self, piece: Piece) -> Settings:
        """Uphill from the baseline, a step of one control at a time."""
        best = start(piece)
        if self._model is None:
            return best
        worth = self._worth(self._model, piece, [best])[0]
        for _ in range(40):
            ways = [(control, way) for control in best.controls() for way in (1.0, -1.0)]
            near = [moved(piece, best, (control,), way * piece.machine.dial(control).step) for control, way in ways]
            worths = self._worth(self._model, piece, near)
            if worths.max() <= worth + 1e-9:
                break
            best, worth = near[int(worths.argmax())], worths.max()
        return best
