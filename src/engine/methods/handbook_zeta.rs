//! Loss coefficients of fittings by their size, from a handbook's table.

use super::interpolation;

/// A fitting that the handbook names.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Named {
    /// Sharp elbow, 90°.
    SharpElbow,
    /// Long bend, 90°.
    LongBend,
    /// Straight globe valve.
    GlobeValve,
    /// Angle globe valve.
    AngleValve,
    /// Gate valve, or ball valve with a reduced bore.
    GateValve,
    /// Ball valve with the full bore.
    BallValve,
    /// Where a tube enters a vessel.
    VesselEntry,
    /// Where a tube leaves a vessel.
    VesselExit,
    /// Bend of 180°.
    ReturnBend,
    /// Bend of 45°.
    EighthBend,
    /// Tee, straight through.
    TeeThrough,
    /// Tee, into or out of the branch.
    TeeBranch,
    /// Panel radiator.
    PanelRadiator,
    /// Column radiator.
    ColumnRadiator,
    /// Welded joint of a plastic tube.
    PlasticWeld,
    /// Flanged joint.
    FlangedJoint,
}

/// Bores and loss coefficients of one fitting; a printed handbook of heating, table 9.1.
struct Row([f64; 3], [f64; 3]);

const SHARP_ELBOW: Row = Row([20.0, 50.0, 100.0], [1.7, 1.0, 0.7]);
const LONG_BEND: Row = Row([20.0, 50.0, 100.0], [0.9, 0.4, 0.2]);
const GLOBE_VALVE: Row = Row([20.0, 40.0, 100.0], [8.0, 4.9, 4.1]);
const ANGLE_VALVE: Row = Row([20.0, 40.0, 100.0], [2.7, 2.4, 2.2]);

/// Loss coefficient of a fitting in a bore, at the velocity in that bore.
///
/// # Source
/// A printed heating handbook, table 9.1 (title page not seen: take it as common practice); between its sizes by straight
/// lines, below and above them the nearest.
/// # Units
/// mm; result without unit.
/// # Validity
/// Bores of 20 to 100 mm as printed; the smallest is taken below, where makers' figures scatter by half.
/// # Examples
/// ```
/// # use tundish_engine::methods::handbook_zeta::{Named, zeta};
/// assert_eq!((zeta(Named::SharpElbow, 13.6), zeta(Named::LongBend, 35.0)), (1.7, 0.65));
/// ```
#[must_use]
pub fn zeta(fitting: Named, bore_mm: f64) -> f64 {
    match fitting {
        Named::SharpElbow => along(SHARP_ELBOW, bore_mm),
        Named::LongBend => along(LONG_BEND, bore_mm),
        Named::GlobeValve => along(GLOBE_VALVE, bore_mm),
        Named::AngleValve => along(ANGLE_VALVE, bore_mm),
        Named::GateValve => 0.3,
        Named::BallValve => 0.03,
        Named::VesselEntry | Named::VesselExit => 1.0,
        Named::ReturnBend => 1.6 * along(LONG_BEND, bore_mm),
        Named::EighthBend => 0.7 * along(LONG_BEND, bore_mm),
        Named::TeeThrough => 0.5,
        Named::TeeBranch => 0.2 + along(SHARP_ELBOW, bore_mm),
        Named::PanelRadiator => 2.5,
        Named::ColumnRadiator => 5.0,
        Named::PlasticWeld => 0.4,
        Named::FlangedJoint => 0.13,
    }
}

fn along(Row(bores_mm, zetas): Row, bore_mm: f64) -> f64 {
    interpolation::linear(&bores_mm, &zetas, bore_mm)
}
