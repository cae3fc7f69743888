//! Which reading the variance of an output comes from.
#[derive(Debug)]
pub struct Sensitivity;
#[derive(Debug)]
pub struct Variance;
