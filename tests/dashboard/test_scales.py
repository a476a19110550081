"""The scales of New fabric: which controls have one, and that the numbers of a dial's ends lie clear of all else."""

import re

import pytest

from recommender import Dial, Machine

from .test_pages import healthy, words

OVERLAPS = """() => [...document.querySelectorAll('.row .scale')].flatMap((scale) => {
  const told = [...scale.querySelectorAll('span.above, span.below, span.low, span.high, i.proposal, i.baseline')];
  const box = (one) => one.getBoundingClientRect();
  const over = (a, b) => a.left < b.right - 0.5 && b.left < a.right - 0.5 && a.top < b.bottom - 0.5 && b.top < a.bottom - 0.5;
  const ends = told.filter((one) => one.matches('.low, .high'));
  const others = told.filter((one) => !ends.includes(one));
  const under = box(scale.closest('.row').querySelector('.control'));
  return ends.flatMap((end) => [
    ...others.filter((other) => over(box(end), box(other))).map((other) => `${end.textContent} under ${other.className}`),
    ...(over(box(end), under) ? [`${end.textContent} under the name`] : []),
    ...(box(end).right > innerWidth ? [`${end.textContent} beyond the page`] : []),
  ]);
})"""


def test_a_machine_whose_foot_pressure_can_be_set_shows_its_number_and_no_band(app, studio):
    studio.add_machine(Machine(name="bench", foot_pressure=Dial(0, 6, 0.5, 3)))
    healthy(app.run())
    row = words(app).partition("<div class='control'>foot pressure<b>3</b>")[2].partition("<div class='row'>")[0]
    assert "foot pressure, scale from 0 to 6: set 3." in row
    assert 'class="proposal"' in row
    assert not re.search('class="(band|window|baseline)"', row)


def test_a_machine_without_such_a_dial_has_no_row_for_it(app, studio):
    healthy(app.run())
    assert "<div class='control'>foot pressure" not in words(app)


@pytest.mark.parametrize("size", ["desk", "tablet", "phone"])
def test_the_numbers_of_a_dials_ends_are_seen_wherever_its_marks_stand(visit, studio, size):
    """Proposals at either end of a dial and a step or two from it."""
    low, high = Dial(3.75, 9, 0.25, 4), Dial(0, 4.25, 0.25, 4)
    tension = {"left needle": low, "right needle": high, "upper looper": Dial(4, 9, 0.25, 4), "lower looper": Dial(0, 4, 0.25, 4)}
    studio.add_machine(Machine(name="bench", tension=tension, differential=Dial(0.95, 1.35, 0.05, 1.0), foot_pressure=Dial(0, 6, 0.5, 0)))
    page = visit(size)
    assert page.locator(".row .scale :is(.low, .high)").count() == 2 * 8
    assert page.evaluate(OVERLAPS) == []
