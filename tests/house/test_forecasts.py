"""The page on forecasts is what its results say, the results are the product's, the band holds."""

from __future__ import annotations

import numpy as np
import pytest
from scipy import stats

from benchmarks.forecasts import __main__ as bench
from benchmarks.forecasts import forecasters, page
from benchmarks.forecasts.scores import covered, crps, interval_of_mean
from benchmarks.forecasts.worlds import world
from heapwright.fitting.settings import filter_settings
from heapwright.tables import parameter_table

ROWS = bench.load()


def test_page_and_pictures_are_what_the_results_say() -> None:
    for path, renewed in ((page.PAGE, page.with_pictures), (page.VALIDATION, page.in_validation)):
        text = path.read_text(encoding="utf-8")
        assert renewed(ROWS, text) == text
    for lead in forecasters.LEAD_DAYS:
        picture = page.PICTURES / f"reliability-{lead}-days.svg"
        assert picture.read_text(encoding="utf-8") == page.reliability(ROWS, lead)


@pytest.mark.parametrize("is_fitted, way", [(True, "fitted"), (False, "unfitted")])
def test_results_are_those_of_the_model_as_it_is_now(is_fitted: bool, way: str) -> None:
    """One heap forecast anew; processors may differ in the last digits, so not to the byte."""
    seed = bench.SEEDS[0]
    sd = parameter_table("heapwright.fitting", "data/reading_error.csv")["reading_sd_c"].typical
    hidden = world(seed)
    anew = forecasters.by_model(hidden, seed, filter_settings(), sd, is_fitted=is_fitted)
    stored = {(row.day, row.lead): row for row in ROWS if row.seed == seed and row.way == way}
    assert set(stored) == set(anew)
    for (day, lead), row in stored.items():
        assert row.truth_c == pytest.approx(hidden.truth_c[24 * (day + lead)], abs=0.5)
        assert row.mean_c == pytest.approx(anew[day, lead].mean(), abs=1.0)


@pytest.mark.parametrize("lead", forecasters.LEAD_DAYS)
def test_four_in_five_truths_lie_in_the_band_and_no_plain_rule_scores_better(lead: int) -> None:
    """Issue's aim: 75 to 88 % inside; the score below persistence, cooling curve and unfitted."""
    fitted = [row for row in ROWS if row.way == "fitted" and row.lead == lead]
    assert len(fitted) == len(bench.SEEDS) * len(forecasters.FIT_DAYS)
    inside = np.mean([0.1 <= row.place <= 0.9 for row in fitted])
    assert 0.75 <= inside <= 0.88
    score = {(row.seed, row.day): row.crps for row in fitted}
    for way in page.WAYS[1:]:
        others = [row for row in ROWS if row.way == way and row.lead == lead]
        gain = np.array([row.crps - score[row.seed, row.day] for row in others])
        low, _ = interval_of_mean(gain, np.array([row.seed for row in others]), 3)
        assert low > 0.0, way


def test_no_seed_is_both_trained_on_and_told() -> None:
    assert not set(bench.TRAINING) & set(bench.SEEDS)
    assert {row.seed for row in ROWS} == set(bench.SEEDS)


def test_crps_is_the_closed_form_of_a_bell_curve() -> None:
    """Gneiting & Raftery 2007: sigma (z (2 Phi(z) - 1) + 2 phi(z) - 1/sqrt(pi)) (from memory)."""
    even = stats.norm.ppf((np.arange(4000) + 0.5) / 4000)
    for mean, sd, truth in ((50.0, 4.0, 47.0), (20.0, 9.0, 41.0), (0.0, 1.0, 0.0)):
        z = (truth - mean) / sd
        exact = sd * (z * (2 * stats.norm.cdf(z) - 1) + 2 * stats.norm.pdf(z) - 1 / np.sqrt(np.pi))
        got = crps(np.asarray(mean + sd * even)[None, :], np.array([truth]))
        assert got[0] == pytest.approx(exact, rel=5e-3)
    assert crps(np.array([[7.0]]), np.array([4.0]))[0] == 3.0


def test_bands_of_an_honest_forecast_hold_what_they_should() -> None:
    rng = np.random.default_rng(3)
    mean = rng.normal(40, 10, 4000)
    members, truth = mean[:, None] + rng.normal(0, 3, (4000, 60)), mean + rng.normal(0, 3, 4000)
    assert covered(members, truth, 0.8).mean() == pytest.approx(0.8, abs=0.025)
