//! Frozen value classes of the valve train: what they show of the core's values, and how they are written.

use crate::errors::OrRaise;
use crate::given::scalar;
use crate::shown::{quantity, text};
use pyo3::prelude::*;
use swept::units::{
    Angle, AngularVelocity, Area, Dimensioned, Force, Frequency, Length, Mass, Pressure, Ratio, SpringRate,
    Velocity, Volume,
};
use swept::valvetrain::CamAngle;

type Any<'py> = Bound<'py, PyAny>;

/// A value of the core as Python sees it.
pub(crate) trait Shown {
    /// The quantity, number, text or object.
    fn shown<'py>(&self, py: Python<'py>) -> PyResult<Any<'py>>;

    /// As it stands in a `repr`.
    fn written(&self, py: Python<'_>) -> PyResult<String> {
        Ok(self.shown(py)?.repr()?.to_string())
    }
}

macro_rules! quantities {
    ($($kind:ty),+) => { $(
        impl Shown for $kind {
            fn shown<'py>(&self, py: Python<'py>) -> PyResult<Any<'py>> {
                quantity(py, *self)
            }

            fn written(&self, py: Python<'_>) -> PyResult<String> {
                Ok(format!("\"{}\"", text(py, *self)?))
            }
        }
    )+ };
}

quantities!(
    Angle,
    AngularVelocity,
    Area,
    Force,
    Frequency,
    Length,
    Mass,
    Pressure,
    SpringRate,
    Velocity,
    Volume
);

macro_rules! plain {
    ($($kind:ty),+) => { $(
        impl Shown for $kind {
            fn shown<'py>(&self, py: Python<'py>) -> PyResult<Any<'py>> {
                Ok(self.into_pyobject(py)?.to_owned().into_any())
            }
        }
    )+ };
}

plain!(bool, f64, usize, str, String);

impl Shown for Ratio {
    fn shown<'py>(&self, py: Python<'py>) -> PyResult<Any<'py>> {
        self.si().shown(py)
    }
}

/// The angle that the cam itself turns through.
impl Shown for CamAngle {
    fn shown<'py>(&self, py: Python<'py>) -> PyResult<Any<'py>> {
        self.on_cam().shown(py)
    }

    fn written(&self, py: Python<'_>) -> PyResult<String> {
        self.on_cam().written(py)
    }
}

impl<T: Shown + ?Sized> Shown for &T {
    fn shown<'py>(&self, py: Python<'py>) -> PyResult<Any<'py>> {
        (**self).shown(py)
    }

    fn written(&self, py: Python<'_>) -> PyResult<String> {
        (**self).written(py)
    }
}

impl<T: Shown> Shown for Option<T> {
    fn shown<'py>(&self, py: Python<'py>) -> PyResult<Any<'py>> {
        self.as_ref().map_or_else(|| Ok(py.None().into_bound(py)), |value| value.shown(py))
    }

    fn written(&self, py: Python<'_>) -> PyResult<String> {
        self.as_ref().map_or_else(|| Ok("None".into()), |value| value.written(py))
    }
}

impl<T: Shown> Shown for Vec<T> {
    fn shown<'py>(&self, py: Python<'py>) -> PyResult<Any<'py>> {
        let all = self.iter().map(|value| value.shown(py)).collect::<PyResult<Vec<_>>>()?;
        Ok(all.into_pyobject(py)?.into_any())
    }

    fn written(&self, py: Python<'_>) -> PyResult<String> {
        let all = self.iter().map(|value| value.written(py)).collect::<PyResult<Vec<_>>>()?;
        Ok(format!("[{}]", all.join(", ")))
    }
}

impl<A: Shown, B: Shown> Shown for (A, B) {
    fn shown<'py>(&self, py: Python<'py>) -> PyResult<Any<'py>> {
        Ok((self.0.shown(py)?, self.1.shown(py)?).into_pyobject(py)?.into_any())
    }

    fn written(&self, py: Python<'_>) -> PyResult<String> {
        Ok(format!("({}, {})", self.0.written(py)?, self.1.written(py)?))
    }
}

/// What a function of the core found, or the exception for what it refused.
pub(crate) fn found<T: Shown>(py: Python<'_>, result: swept::Result<T>) -> PyResult<Any<'_>> {
    result.or_raise(py)?.shown(py)
}

/// The angle of the cam that an argument states.
pub(crate) fn cam(field: &str, given: &Any<'_>) -> PyResult<CamAngle> {
    scalar(field, given).map(CamAngle::of_cam)
}

/// A quantity, or zero where nothing is said.
pub(crate) fn or_zero<Q: Dimensioned>(field: &str, given: Option<&Any<'_>>) -> PyResult<Q> {
    given.map_or(Ok(Q::from_si(0.0)), |given| scalar(field, given))
}

/// A count as the core takes it. What it cannot hold becomes the nearest that it can, which the core's own bounds refuse.
pub(crate) fn count(given: i64) -> u32 {
    u32::try_from(given).unwrap_or(if given < 0 { 0 } else { u32::MAX })
}

/// Reads arguments as quantities under their own names.
macro_rules! read {
    ($($name:ident),+ $(,)?) => { $( let $name = $crate::given::scalar(stringify!($name), $name)?; )+ };
}

/// A frozen class of one core value: its figures as attributes, `repr` and `==` from them, then its own methods.
macro_rules! value_class {
    (
        $(#[$about:meta])*
        $class:ident($core:ty) named $name:tt {
            $( $(#[$told:meta])* $field:ident: |$value:ident| $figure:expr; )*
        }
        $($methods:tt)*
    ) => {
        $(#[$about])*
        #[pyclass(frozen, name = $name, module = "swept")]
        #[derive(Clone, PartialEq)]
        pub(crate) struct $class(pub(crate) $core);

        #[pymethods]
        impl $class {
            $(
                $(#[$told])*
                #[getter]
                fn $field<'py>(&self, py: Python<'py>) -> PyResult<Bound<'py, PyAny>> {
                    let $value = &self.0;
                    $crate::value::Shown::shown(&$figure, py)
                }
            )*

            fn __repr__(&self, py: Python<'_>) -> PyResult<String> {
                let figures: Vec<String> = vec![$({
                    let $value = &self.0;
                    format!("{}={}", stringify!($field), $crate::value::Shown::written(&$figure, py)?)
                }),*];
                Ok(format!("{}({})", $name, figures.join(", ")))
            }

            fn __eq__(&self, other: &Self) -> bool {
                self.0 == other.0
            }

            $($methods)*
        }

        impl $crate::value::Shown for $class {
            fn shown<'py>(&self, py: Python<'py>) -> PyResult<Bound<'py, PyAny>> {
                Ok(Bound::new(py, self.clone())?.into_any())
            }
        }
    };
}

pub(crate) use {read, value_class};
