//! Degree-wheel readings: top dead centre by positive stop, centreline and asymmetry of a lobe.

use crate::errors::OrRaise;
use crate::given::{list, scalar};
use crate::value::{Shown, read, value_class};
use pyo3::exceptions::{PyTypeError, PyValueError};
use pyo3::prelude::*;
use swept::valvetrain::wheel::{
    MidpointAgainst, UncertaintyFrom, WheelFit, WheelLift, WheelReadings, WheelUncertainty, WheelZero,
};

type Any<'py> = Bound<'py, PyAny>;

value_class! {
    /// What the wheel shows at top dead centre, a crank angle to be taken off every reading, and the standard uncertainty of that.
    PyWheelZero(WheelZero) named "WheelZero" {
        /// What the wheel shows at top dead centre, crank angle.
        crank_offset: |z| z.offset();
        /// Standard uncertainty of the offset, common to all readings.
        standard_uncertainty: |z| z.standard();
    }

    #[new]
    #[pyo3(signature = (*, crank_offset, standard_uncertainty))]
    fn new(py: Python<'_>, crank_offset: &Any<'_>, standard_uncertainty: &Any<'_>) -> PyResult<Self> {
        read!(crank_offset, standard_uncertainty);
        WheelZero::new(crank_offset, standard_uncertainty).or_raise(py).map(Self)
    }

    /// From the wheel's readings, crank angles, where the piston meets a positive stop before and after top dead centre.
    #[staticmethod]
    #[pyo3(signature = (*, crank_before, crank_after, standard_uncertainty))]
    fn from_positive_stop(
        py: Python<'_>,
        crank_before: &Any<'_>,
        crank_after: &Any<'_>,
        standard_uncertainty: &Any<'_>,
    ) -> PyResult<Self> {
        read!(crank_before, crank_after, standard_uncertainty);
        WheelZero::from_positive_stop(crank_before, crank_after, standard_uncertainty).or_raise(py).map(Self)
    }
}

value_class! {
    /// What the wheel's readings at one lift gave.
    PyWheelLift(WheelLift) named "WheelLift" {
        /// The lift.
        lift: |l| l.lift;
        /// Midway between opening and closing, crank angle from top dead centre.
        crank_midpoint: |l| l.midpoint;
        /// Closing less opening, crank angle.
        crank_duration: |l| l.duration;
        /// Standard uncertainty of the duration.
        crank_duration_uncertainty: |l| l.duration_standard;
        /// Reading at opening less what the line says.
        crank_opening_residual: |l| l.opening_residual;
        /// Reading at closing less what the line says.
        crank_closing_residual: |l| l.closing_residual;
    }
}

value_class! {
    /// Centreline and asymmetry of a lobe by least squares through the midpoints of degree-wheel readings.
    PyWheelFit(WheelFit) named "WheelFit" {
        /// The centreline, crank angle from overlap top dead centre.
        crank_centreline: |f| f.centreline;
        /// Its standard uncertainty, that of the wheel's zero included.
        crank_centreline_uncertainty: |f| f.centreline_standard;
        /// Slope of the midpoints and its standard uncertainty, a pair of floats: radians of the crank per metre of lift, negative where the closing flank is
        /// the longer one; against the half duration (closing - opening flank) / (closing + opening flank), positive there. None from one lift only.
        asymmetry: |f| f.asymmetry.map(|a| (a.slope, a.standard));
        /// Which uncertainty was used, the larger of both: "stated" or "scatter".
        uncertainty_from: |f| match f.uncertainty_from {
            UncertaintyFrom::Stated => "stated",
            UncertaintyFrom::Scatter => "scatter",
        };
        /// How many times larger than stated the scatter about the line is; None without a statement, or with no more lifts than the line needs.
        scatter_ratio: |f| f.scatter_ratio;
        /// The readings, lift by lift.
        lifts: |f| f.lifts.iter().copied().map(PyWheelLift).collect::<Vec<_>>();
    }

    /// The latest less the earliest midpoint, crank angle.
    #[getter]
    fn crank_midpoint_spread<'py>(&self, py: Python<'py>) -> PyResult<Any<'py>> {
        self.0.midpoint_spread().shown(py)
    }
}

fn against(name: &str, nose_lift: Option<&Any<'_>>) -> PyResult<MidpointAgainst> {
    match (name, nose_lift) {
        ("lift", None) => Ok(MidpointAgainst::Lift),
        ("half duration", None) => Ok(MidpointAgainst::HalfDuration),
        ("lift to nose", Some(nose)) => scalar("nose_lift", nose).map(MidpointAgainst::LiftToNose),
        ("lift to nose", None) => Err(PyTypeError::new_err("against=\"lift to nose\" needs nose_lift")),
        ("lift" | "half duration", Some(_)) => {
            Err(PyTypeError::new_err("nose_lift goes with against=\"lift to nose\""))
        }
        _ => Err(PyValueError::new_err(format!(
            "against is {name:?}; write \"lift\", \"lift to nose\" or \"half duration\""
        ))),
    }
}

/// A common standard uncertainty, or those of each reading as two lists.
fn uncertainty(
    common: Option<&Any<'_>>,
    openings: Option<&Any<'_>>,
    closings: Option<&Any<'_>>,
) -> PyResult<WheelUncertainty> {
    match (common, openings, closings) {
        (Some(u), None, None) => scalar("uncertainty", u).map(WheelUncertainty::Common),
        (None, Some(openings), Some(closings)) => Ok(WheelUncertainty::Each {
            openings: list("opening_uncertainties", openings)?,
            closings: list("closing_uncertainties", closings)?,
        }),
        _ => Err(PyTypeError::new_err(
            "give uncertainty, or both opening_uncertainties and closing_uncertainties; \"0 deg\" where nothing is known",
        )),
    }
}

/// Centreline and asymmetry of one lobe from degree-wheel readings, crank angles at rising lifts where the valve passes them opening and closing.
///
/// The standard ``uncertainty`` of a reading is one for all, "0 deg" where nothing is known of it, or each reading has its own in
/// ``opening_uncertainties`` and ``closing_uncertainties``. The midpoints are laid ``against`` the "lift" (the centreline is that at the mean lift), the
/// "lift to nose" (the line is continued to ``nose_lift``) or the "half duration" (continued to none, exact for flanks of one shape but of unlike length).
#[pyfunction]
#[pyo3(signature = (
    *, lifts, crank_openings, crank_closings, uncertainty = None, opening_uncertainties = None, closing_uncertainties = None,
    zero = None, against = "half duration", nose_lift = None
))]
#[allow(clippy::too_many_arguments)] // Python's keywords
fn fit_wheel(
    py: Python<'_>,
    lifts: &Any<'_>,
    crank_openings: &Any<'_>,
    crank_closings: &Any<'_>,
    uncertainty: Option<&Any<'_>>,
    opening_uncertainties: Option<&Any<'_>>,
    closing_uncertainties: Option<&Any<'_>>,
    zero: Option<&PyWheelZero>,
    against: &str,
    nose_lift: Option<&Any<'_>>,
) -> PyResult<PyWheelFit> {
    let against = self::against(against, nose_lift)?;
    let uncertainty = self::uncertainty(uncertainty, opening_uncertainties, closing_uncertainties)?;
    let openings = list("crank_openings", crank_openings)?;
    let closings = list("crank_closings", crank_closings)?;
    let readings = WheelReadings::new(&list("lifts", lifts)?, &openings, &closings, &uncertainty);
    let readings = readings.or_raise(py)?.with_zero(zero.map_or(WheelZero::EXACT, |z| z.0));
    readings.fit(against).or_raise(py).map(PyWheelFit)
}

pub(crate) fn register(m: &Bound<'_, PyModule>) -> PyResult<()> {
    m.add_class::<PyWheelZero>()?;
    m.add_class::<PyWheelLift>()?;
    m.add_class::<PyWheelFit>()?;
    m.add_function(wrap_pyfunction!(fit_wheel, m)?)
}
