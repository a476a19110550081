"""What a studio's model must be, whatever the log: exact under adding, removing and renaming, and no different for its order."""

from dataclasses import replace

import numpy as np
import pytest

from recommender.advice.model import Model, cloth, fitted, n_tuned, swatches
from recommender.advice.seam import Seam
from recommender.trade.stitch import stitch
from recommender.trade.units import weight


def seams_of(shop, n=6):
    return [Seam(p.fabric, p.stitch, p.machine, p.needle_thread, p.looper_thread) for p in (shop.fabric() for _ in range(n))]


def assert_same_outlook(one: Model, other: Model, seams, rel=1e-9):
    for seam in seams:
        first, second = one.outlook(seam), other.outlook(seam)
        assert first.mean == pytest.approx(second.mean, rel=rel, abs=1e-9)
        assert first.cov == pytest.approx(second.cov, rel=rel, abs=1e-9)


def test_update_is_refit(shop, log, taught):
    cut = n_tuned(len(log))
    early = fitted(log[:cut], shop.machines)
    grown = early.adding(swatches(log[cut:], shop.machines, early.terms))
    assert cut < len(log)
    assert (early.scales.noise == taught.scales.noise).all()
    assert_same_outlook(grown, taught, seams_of(shop))


def test_removing_undoes_adding(shop, log, taught):
    extra = swatches([replace(log[3], id="new", passed=True, readings={})], shop.machines, taught.terms)
    assert_same_outlook(taught.adding(extra).removing(extra), taught, seams_of(shop), rel=1e-8)


def test_a_correction_is_a_refit(shop, log, taught):
    wrong, right = log[-1], replace(log[-1], passed=not log[-1].passed, readings={"edge_lie": -1.5})
    corrected = taught.removing(swatches([wrong], shop.machines, taught.terms)).adding(swatches([right], shop.machines, taught.terms))
    refit = fitted([*log[:-1], right], shop.machines, (taught.scales, taught.standard))
    assert_same_outlook(corrected, refit, seams_of(shop), rel=1e-8)


def test_parts_of_a_log_add_up(shop, log, taught):
    known = taught.scales, taught.standard
    first, second = fitted(log[::2], shop.machines, known), fitted(log[1::2], shop.machines, known)
    assert_same_outlook(replace(first, moments=first.moments + second.moments), taught, seams_of(shop))


def test_the_order_of_the_log_does_not_matter_for_what_is_learned(shop, log, taught):
    order = np.random.default_rng(2).permutation(len(log))
    shuffled = fitted([log[i] for i in order], shop.machines, (taught.scales, taught.standard))
    assert_same_outlook(shuffled, taught, seams_of(shop))


def test_predicting_changes_nothing(shop, taught):
    before = [array.copy() for array in (taught.moments.gram, taught.moments.group_terms, taught.posterior.mean)]
    for seam in seams_of(shop):
        taught.outlook(seam).pass_chance(np.zeros(len(seam.controls)))
    for array, now in zip(before, (taught.moments.gram, taught.moments.group_terms, taught.posterior.mean), strict=True):
        assert np.array_equal(array, now)


def test_renaming_cloths_and_machines_changes_nothing(shop, log, taught):
    machines = {f"old {name}": replace(machine, name=f"old {name}") for name, machine in shop.machines.items()}

    def renamed(trial):
        return replace(trial, fabric=replace(trial.fabric, name=trial.fabric.name[::-1]), machine=f"old {trial.machine}")

    other = fitted([renamed(trial) for trial in log], machines)
    for seam in seams_of(shop):
        moved = Seam(seam.fabric, seam.stitch, machines[f"old {seam.machine.name}"], seam.needle_thread, seam.looper_thread)
        assert taught.outlook(seam).mean == pytest.approx(other.outlook(moved).mean, rel=1e-6, abs=1e-8)


def test_the_unit_in_which_a_weight_was_typed_does_not_matter(shop, log):
    ounces = [replace(t, fabric=replace(t.fabric, gsm=weight(t.fabric.gsm / 33.905747, "oz/yd2"))) for t in log[:30]]
    one, other = fitted(log[:30], shop.machines), fitted(ounces, shop.machines)
    for seam in seams_of(shop):
        assert one.outlook(seam).mean == pytest.approx(other.outlook(seam).mean, rel=1e-4, abs=1e-5)


def test_an_empty_log_expects_every_reading_to_be_nought_on_the_baseline(seam, empty):
    outlook = empty.outlook(seam())
    assert (outlook.mean[:, 0] == 0).all()
    assert (np.diagonal(outlook.cov, axis1=1, axis2=2) > 0).all()


def test_a_cloth_of_its_own_is_told_from_its_neighbours(shop, log, taught):
    """The swatches of one cloth say more of it than of a cloth of another name and the same description."""
    trial = log[0]
    machine = shop.machines[trial.machine]
    known = Seam(trial.fabric, stitch(trial.stitch), machine, trial.needle_thread, trial.looper_thread)
    stranger = replace(trial.fabric, name="never logged")
    unknown = Seam(stranger, known.stitch, machine, trial.needle_thread, trial.looper_thread)
    assert cloth(stranger) != cloth(trial.fabric)
    assert (taught.outlook(known).cov[:, 0, 0] < taught.outlook(unknown).cov[:, 0, 0]).all()
