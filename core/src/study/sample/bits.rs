//! Floating-point numbers that cross as their bits, so that none is rounded and no number stays no number; outputs that cross by name.

use serde::de::DeserializeOwned;
use serde::{Deserialize, Deserializer, Serialize, Serializer};

/// What has its numbers written as their bits: `#[serde(with = "bits")]`.
pub(super) trait Bits: Sized {
    type Written: Serialize + DeserializeOwned;
    fn written(&self) -> Self::Written;
    fn read(written: Self::Written) -> Self;
}

impl Bits for f64 {
    type Written = u64;

    fn written(&self) -> u64 {
        self.to_bits()
    }

    fn read(written: u64) -> Self {
        Self::from_bits(written)
    }
}

impl<T: Bits> Bits for Vec<T> {
    type Written = Vec<T::Written>;

    fn written(&self) -> Self::Written {
        self.iter().map(T::written).collect()
    }

    fn read(written: Self::Written) -> Self {
        written.into_iter().map(T::read).collect()
    }
}

impl<T: Bits> Bits for (T, T) {
    type Written = (T::Written, T::Written);

    fn written(&self) -> Self::Written {
        (self.0.written(), self.1.written())
    }

    fn read((a, b): Self::Written) -> Self {
        (T::read(a), T::read(b))
    }
}

impl<T: Bits> Bits for [T; 4] {
    type Written = [T::Written; 4];

    fn written(&self) -> Self::Written {
        self.each_ref().map(T::written)
    }

    fn read(written: Self::Written) -> Self {
        written.map(T::read)
    }
}

pub(super) fn serialize<T: Bits, S: Serializer>(value: &T, to: S) -> Result<S::Ok, S::Error> {
    value.written().serialize(to)
}

pub(super) fn deserialize<'d, T: Bits, D: Deserializer<'d>>(from: D) -> Result<T, D::Error> {
    T::Written::deserialize(from).map(T::read)
}

/// Outputs by their names: `#[serde(with = "names")]`.
pub(super) mod names {
    use super::*;
    use crate::study::output::Output;
    use serde::de::Error;

    pub(in super::super) fn serialize<S: Serializer>(outputs: &[Output], to: S) -> Result<S::Ok, S::Error> {
        to.collect_seq(outputs.iter().map(|output| output.name()))
    }

    pub(in super::super) fn deserialize<'d, D: Deserializer<'d>>(from: D) -> Result<Vec<Output>, D::Error> {
        let names = Vec::<String>::deserialize(from)?;
        names.iter().map(|name| Output::parse(name).map_err(D::Error::custom)).collect()
    }
}
