//! Pure engineering: one file to a published method, and the documents they were published in.
#![cfg_attr(test, expect(clippy::float_cmp, reason = "a test compares exactly where the value is exact"))]

/// One file per published method: pure engineering.
pub mod methods;
/// Every published source, as the only citation keys.
pub mod sources;
