//! Criterion benches of swept stand under `benches/`; there is nothing here.
