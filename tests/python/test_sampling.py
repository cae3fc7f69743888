"""Samples against NumPy on the stored ones, and their distributions against closed forms."""

from __future__ import annotations

import math
import pickle
from statistics import NormalDist
from typing import Any

import numpy as np
import pint
import pytest
from conftest import EXAMPLES

import swept
from swept import errors

BOTH = ["deck_clearance", "compression_ratio"]
READINGS: dict[str, Any] = {
    "stroke": swept.normal("86 mm", "0.02 mm"),
    "deck_height": swept.normal("220.2 mm", "0.025 mm"),
    "compression_height": swept.triangular("33.95 mm", "34 mm", "34.1 mm"),
    "bore": swept.truncated("86 mm", "0.01 mm", "85.99 mm", "86.02 mm"),
    "gasket_thickness": swept.uniform("0.95 mm", "1.05 mm"),
    "chamber_volume": swept.normal("46 cm3", "0.4 cm3"),
}
FIXED: dict[str, Any] = {"rod_length": "143 mm", "gasket_bore": "88 mm", "crown_volume": "3 cm3"}
LIMITS: dict[str, Any] = {"deck_clearance": ("0.1 mm", "0.25 mm"), "compression_ratio": (None, 9.68)}


def sampling(**given: Any) -> swept.Sampling:
    return swept.Sampling(**{"readings": READINGS, "fixed": FIXED, "limits": LIMITS, "seed": 7, **given})


def bare(value: Any) -> Any:
    return getattr(value, "magnitude", value)


def test_statistics_are_those_of_numpy_on_the_stored_samples() -> None:
    n, probabilities = 200_003, (0.0, 0.001, 0.025, 0.5, 0.975, 1.0)
    asked = sampling()
    found = asked.sample(n, BOTH, quantiles=probabilities)
    stored = {output: bare(asked.values(output, 0, n)) for output in BOTH}
    outside = {}
    for output, (low, high) in zip(BOTH, ((0.1, 0.25), (-np.inf, 9.68)), strict=True):
        spread, x = found[output], stored[output]
        assert x.shape == (n,) and x.dtype == np.float64 and (spread.used, spread.refused) == (n, 0)
        assert bare(spread.mean) == pytest.approx(x.mean(), rel=1e-12)
        assert bare(spread.deviation) == pytest.approx(x.std(), rel=1e-10)
        assert [bare(q.value) for q in spread.quantiles] == np.quantile(x, probabilities).tolist()
        assert [q.probability for q in spread.quantiles] == list(probabilities)
        assert bare(spread.mean_error) == pytest.approx(x.std(ddof=1) / math.sqrt(n))
        # Of a normal output; this one is nearly so.
        assert bare(spread.deviation_error) == pytest.approx(x.std() / math.sqrt(2 * n), rel=0.1)
        outside[output] = (x < low) | (x > high)
        assert spread.outside is not None and spread.outside.count == outside[output].sum() > 1000
        assert spread.outside.share == outside[output].mean()
    assert found.feasible is not None and found.impossible == 0 and found.samples == n
    assert found.feasible.count == n - (outside[BOTH[0]] | outside[BOTH[1]]).sum()


def test_outputs_are_those_of_the_draws() -> None:
    asked, n = sampling(), 50_000
    x = {name: asked.draws(name, 0, n).m_as("cm^3" if "volume" in name else "mm") for name in asked.readings}
    assert list(x) == [name for name in swept.STUDY_FIGURES if name in READINGS]
    deck = x["deck_height"] - (x["stroke"] / 2 + 143.0 + x["compression_height"])
    area = np.pi / 4 * x["bore"] ** 2 / 1000
    above = x["chamber_volume"] + 3.0 + np.pi / 4 * 88.0**2 / 1000 * x["gasket_thickness"] + area * deck
    assert asked.values("deck_clearance", 0, n).m_as("mm") == pytest.approx(deck, abs=1e-10)
    assert asked.values("compression_ratio", 0, n) == pytest.approx(1 + area * x["stroke"] / above, rel=1e-12)


def test_draws_follow_their_distributions() -> None:
    """The greatest distance of the distribution of the draws from the closed form (Kolmogorov), at a level of 1e-6."""
    n, normal = 200_000, NormalDist()

    def truncated(x: float) -> float:
        low, high = normal.cdf(-1), normal.cdf(2)
        return (normal.cdf((x - 86) / 0.01) - low) / (high - low)

    def triangular(x: float) -> float:
        if x < 34:
            return (x - 33.95) ** 2 / (0.15 * 0.05)
        return 1 - (34.1 - x) ** 2 / (0.15 * 0.1)

    forms: dict[str, Any] = {
        "stroke": NormalDist(86, 0.02).cdf,
        "bore": truncated,
        "compression_height": triangular,
        "gasket_thickness": lambda x: (x - 0.95) / 0.1,
    }
    for name, form in forms.items():
        x = np.sort(sampling().draws(name, 0, n).m_as("mm"))
        want = np.array([form(v) for v in x])
        ranks = np.arange(n + 1) / n
        distance = max((ranks[1:] - want).max(), (want - ranks[:-1]).max())
        assert distance < math.sqrt(-math.log(5e-7) / (2 * n)), name


def test_a_sample_is_its_seed_and_its_number() -> None:
    asked = sampling()
    whole = asked.values("compression_ratio", 0, 5000)
    for first, count in ((0, 1), (255, 3), (1234, 2000), (4999, 1)):
        assert np.array_equal(asked.values("compression_ratio", first, count), whole[first : first + count])
    assert np.array_equal(asked.values("compression_ratio", count=1000), whole[:1000])
    mixed = dict(reversed(READINGS.items()))
    assert np.array_equal(sampling(readings=mixed).values("compression_ratio", 0, 5000), whole)
    other = sampling(seed=2**64 - 1)
    assert other.seed == 2**64 - 1 and not np.isin(other.values("compression_ratio", 0, 5000), whole).any()
    assert asked.values("compression_ratio", 0, 0).shape == (0,)
    assert len(asked.values("compression_ratio", 2**39, 10)) == 10


def test_the_answer_is_the_same_for_any_number_of_threads() -> None:
    asked, n = sampling(), 300_000
    one = asked.sample(n, BOTH, threads=1)
    for threads in (0, 2, 5):
        assert asked.sample(n, BOTH, threads=threads) == one
        same = asked.values("compression_ratio", 17, n, threads=threads)
        assert np.array_equal(same, asked.values("compression_ratio", 17, n, threads=1))
    want = asked.sensitivity("compression_ratio", 50_000, threads=1)
    again = asked.sensitivity("compression_ratio", 50_000, threads=3)
    assert all(np.array_equal(want[name], again[name]) for name in want)


def test_correlated_readings() -> None:
    pairs = {("bore", "stroke"): 0.6, ("stroke", "deck_height"): -0.5}
    asked, n = sampling(correlations=pairs), 200_000
    x = {name: asked.draws(name, 0, n).magnitude for name in ("bore", "stroke", "deck_height", "gasket_thickness")}
    allowed = 5 / math.sqrt(n)
    assert np.corrcoef(x["stroke"], x["deck_height"])[0, 1] == pytest.approx(-0.5, abs=allowed)
    assert np.corrcoef(x["stroke"], x["gasket_thickness"])[0, 1] == pytest.approx(0.0, abs=allowed)
    # By rank: 6 / pi asin(r / 2) (Pearson's relation for normal deviates).
    ranks = np.corrcoef(np.argsort(np.argsort(x["bore"])), np.argsort(np.argsort(x["stroke"])))[0, 1]
    assert ranks == pytest.approx(6 / math.pi * math.asin(0.3), abs=allowed)
    for refused in (lambda: asked.sensitivity(BOTH, 1000), lambda: asked.linear("deck_clearance")):
        with pytest.raises(errors.OutOfRange, match="independent"):
            refused()


def test_impossible_draws_are_counted_and_refused() -> None:
    thin = {**READINGS, "gasket_thickness": swept.normal("0.1 mm", "0.1 mm")}
    asked, n = sampling(readings=thin, limits={}), 100_000
    found = asked.sample(n, BOTH)
    values = asked.values("compression_ratio", 0, n)
    drawn = asked.draws("gasket_thickness", 0, n).m_as("mm")
    assert np.array_equal(np.isnan(values), drawn < 0.0)
    spread = found["compression_ratio"]
    assert found.impossible == spread.refused == (drawn < 0.0).sum() == n - spread.used
    assert spread.refused / n == pytest.approx(NormalDist().cdf(-1), abs=0.006)
    assert spread.mean == pytest.approx(np.nanmean(values), rel=1e-12)
    assert found.feasible is None and spread.outside is None and "refused" in str(spread)
    one = asked.sample(1, BOTH)["deck_clearance"]
    assert one.used == 1 and math.isnan(bare(one.mean_error)) and bare(one.deviation) == 0.0


def test_where_the_variance_comes_from() -> None:
    # Of a sum, the shares are those of the variances, whatever the distributions.
    readings = {name: READINGS[name] for name in ("stroke", "deck_height", "compression_height")}
    asked = swept.Sampling(readings=readings, fixed={"rod_length": "143 mm", "bore": "86 mm"}, seed=1)
    variances = np.array([(0.02 / 2) ** 2, 0.025**2, (0.05**2 + 0.15**2 - 0.05 * 0.15) / 18])
    want = dict(zip(("stroke", "deck_height", "compression_height"), variances / variances.sum(), strict=True))
    linear = asked.linear("deck_clearance")
    assert dict(zip(linear["reading"], linear["share"], strict=True)) == pytest.approx(want, rel=1e-6)
    assert linear.standard_uncertainty.m_as("mm") == pytest.approx(math.sqrt(variances.sum()), rel=1e-6)
    assert linear.value.m_as("mm") == pytest.approx(220.2 - 43 - 143 - (34 + 0.05 / 3), abs=1e-9)
    signs = dict(zip(linear["reading"], np.sign(linear["contribution_mm"]), strict=True))
    assert signs == {"stroke": -1, "deck_height": 1, "compression_height": -1}
    found = asked.sensitivity(["deck_clearance", "bore_stroke_ratio"], 100_000)
    assert found["output"].tolist() == ["deck_clearance"] * 3 + ["bore_stroke_ratio"] * 3
    assert found["used"].tolist() == [100_000] * 6 and found["refused"].sum() == 0
    for place, name in enumerate(found["reading"][:3]):
        for index in ("first", "total"):
            off, error = found[index][place] - want[name], found[f"{index}_error"][place]
            assert 0.0 < error < 0.01 and abs(off) < 5 * error, (name, index)
    # The stroke alone has a part in the other; what an output does not take has none of its variance, exactly.
    assert found["reading"][3] == "stroke" and abs(found["total"][3] - 1.0) < 5 * found["total_error"][3]
    assert found["total"][4:].tolist() == found["first"][4:].tolist() == [0.0, 0.0]
    assert "deck_height" in repr(linear) and "millimeter" in repr(linear)


def test_a_tornado_in_one_call() -> None:
    asked = sampling()
    plot = swept.plots.tornado(asked.sensitivity("compression_ratio", 20_000))
    (ax,) = plot.axes
    assert ax.get_title() == "compression ratio" and "variance" in ax.get_xlabel()
    assert [text.get_text() for text in plot.legends[0].get_texts()] == ["alone or with others", "alone"]
    assert ax.get_yticklabels()[0].get_text() == "chamber volume" and len(ax.patches) == 12
    (ax,) = swept.plots.tornado(asked.linear("compression_ratio")).axes
    assert ax.get_title() == "compression ratio"
    assert len(ax.patches) == 6 and ax.get_yticklabels()[0].get_text() == "chamber volume"
    assert sum(bar.get_width() for bar in ax.patches) == pytest.approx(1.0)
    both = asked.sensitivity(BOTH, 5000)
    assert swept.plots.tornado(both, of="deck_clearance").axes[0].get_title() == "deck clearance"
    for of in ("", "bore"):
        with pytest.raises(ValueError, match="deck_clearance, compression_ratio"):
            swept.plots.tornado(both, of=of)
    certain = swept.Sampling(readings={}, fixed={"bore": "86 mm", "stroke": "86 mm"})
    assert certain.sample(10, "displacement")["displacement"].deviation.magnitude == 0.0
    for nothing in (certain.sensitivity("displacement", 10), certain.linear("displacement")):
        with pytest.raises(ValueError, match="no change"):
            swept.plots.tornado(nothing)


def test_a_sampling_of_a_build_document() -> None:
    build = swept.read_build(EXAMPLES / "inline_four.toml")
    asked = build.sampling(cylinder=2)
    # The sheet's own propagation, with k = 2; the example states expanded uncertainties.
    sheet = build.sheet()
    for name in ("deck_clearance", "piston_to_head", "rod_ratio", "bore_stroke_ratio"):
        finding = next(f for f in sheet.find(name) if f.index in (None, 2) and f.state is None)
        linear = asked.linear(name)
        assert bare(linear.standard_uncertainty) == pytest.approx(bare(finding.expanded_uncertainty) / 2, rel=1e-6), (
            name
        )
        assert bare(linear.value) == pytest.approx(bare(finding.value), rel=1e-9), name
    assert "deck_height" in asked.readings and "speed" not in asked.readings
    assert "normal('86.497 mm', '0.002 mm')" in repr(asked)
    found = asked.sample(200_000, "deck_clearance")["deck_clearance"]
    wanted = asked.linear("deck_clearance").standard_uncertainty.m_as("mm")
    assert found.deviation.m_as("mm") == pytest.approx(wanted, rel=0.02) and found.outside is not None
    own = build.sampling(
        readings={"deck_clearance": swept.uniform("0.1 mm", "0.2 mm")},
        fixed={"bore": "86.5 mm"},
        limits={"deck_clearance": None},
        seed=4,
    )
    assert "bore" not in own.readings and "deck_height" not in own.readings and "deck_clearance" in own.readings
    assert own.seed == 4 and own.sample(10, "deck_clearance")["deck_clearance"].outside is None
    with pytest.raises(errors.OutOfRange, match="cylinder"):
        build.sampling(cylinder=9)


def test_tables_and_units() -> None:
    asked, n = sampling(), 10_000
    found = asked.sample(n, BOTH)
    table = found.to_table()
    assert list(table) == [
        "statistic",
        "deck_clearance_mm",
        "deck_clearance_error_mm",
        "compression_ratio",
        "compression_ratio_error",
    ]
    assert table["statistic"].tolist() == ["mean", "deviation", "quantile_0.025", "quantile_0.5", "quantile_0.975"]
    assert table["deck_clearance_mm"][0] == found["deck_clearance"].mean.m_as("mm")
    row = found["deck_clearance"].to_table()
    assert row.rows == 1 and {"mean_mm", "mean_error_mm", "deviation_mm", "quantile_0.5_mm", "outside"} <= set(row)
    with swept.display("inch"):
        inch = asked.sample(n, "deck_clearance")["deck_clearance"]
        values = asked.values("deck_clearance", 0, 100)
    assert str(values.units) == "inch" and "mean_in" in inch.to_table()
    assert values.m_as("mm") == pytest.approx(asked.values("deck_clearance", 0, 100).m_as("mm"))
    assert inch.deviation.m_as("mm") == pytest.approx(found["deck_clearance"].deviation.m_as("mm"))
    assert "10,000 samples" in repr(found) and "deck_clearance_mm" in repr(found) and "<li>" in found._repr_html_()
    with pytest.raises(KeyError, match="not asked"):
        found["bore"]


def test_what_a_sampling_says_of_itself() -> None:
    asked = sampling(correlations={("bore", "stroke"): 0.25})
    again = pickle.loads(pickle.dumps(asked))
    assert again == asked == swept.Sampling.from_json(asked.to_json()) and hash(again) == hash(asked)
    names = ("Sampling", "normal", "uniform", "triangular", "truncated")
    assert eval(repr(asked), {name: getattr(swept, name) for name in names}) == asked
    assert asked != sampling() and asked != 1 and sampling() != sampling(seed=8)
    q = pint.get_application_registry().Quantity
    inch = swept.Sampling(readings={"bore": swept.normal(q(4.0, "inch"), q(0.001, "inch"))}, fixed={"stroke": "3 in"})
    text = swept.Sampling(readings={"bore": swept.normal("4 in", "0.001 in")}, fixed={"stroke": "3 in"})
    assert inch == text
