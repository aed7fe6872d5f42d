//! Pressure lost in fittings and valves: zeta, Kv, and one from the other.
//!
//! Kv is the flow of water in m³/h that a valve passes at 1 bar. Both figures belong to the same law, drop in
//! proportion to the square of the flow, so either can be written as the other for a bore.

use super::error::MethodError;
use super::math::{PI, max, pow, sqrt};
use super::workings::Workings;
use crate::eq;

/// Pressure lost in fittings of a sum of loss coefficients.
///
/// # Source
/// Local losses as a multiple of the dynamic pressure.
/// # Units
/// kg/m³, m/s; result Pa.
/// # Validity
/// Turbulent flow; `zeta` belongs to the velocity given.
/// # Examples
/// ```
/// # use tundish_engine::methods::{fittings, Off};
/// // two bends of 1.0 at 0.426 m/s
/// assert!((fittings::zeta_drop(2.0, 993.9, 0.426071, &mut Off) - 180.4).abs() < 0.1);
/// ```
pub fn zeta_drop(zeta: f64, density_kg_m3: f64, velocity_m_s: f64, w: &mut impl Workings) -> f64 {
    eq!(w, FLUID_MECHANICS: fittings_drop_pa = zeta * density_kg_m3 * pow(velocity_m_s, 2.0) / 2.0);
    fittings_drop_pa
}

/// Pressure lost in a valve of a known Kv.
///
/// # Source
/// Definition of Kv: 1 m³/h of water of 1000 kg/m³ at 1 bar.
/// # Units
/// l/h, m³/h, kg/m³; result Pa.
/// # Validity
/// Turbulent flow.
/// # Errors
/// [`MethodError::Impossible`] if Kv is not above 0.
/// # Examples
/// ```
/// # use tundish_engine::methods::{fittings, Off};
/// // 65 kg/h through Kv 0.38: 29.3 mbar
/// assert!((fittings::kv_drop(65.0, 0.38, 1000.0, &mut Off)? - 2930.0).abs() < 5.0);
/// # Ok::<(), tundish_engine::methods::MethodError>(())
/// ```
pub fn kv_drop(flow_l_h: f64, kv_m3_h: f64, density_kg_m3: f64, w: &mut impl Workings) -> Result<f64, MethodError> {
    above_zero(kv_m3_h, "a valve with Kv 0 is shut")?;
    eq!(w, FLUID_MECHANICS: valve_drop_pa = 1e5 * pow(flow_l_h / 1000.0 / kv_m3_h, 2.0) * density_kg_m3 / 1000.0);
    Ok(valve_drop_pa)
}

/// Kv that loses a pressure at a flow: the setting that balances a circuit.
///
/// # Source
/// Definition of Kv, as [`kv_drop`].
/// # Units
/// l/h, Pa, kg/m³; result m³/h.
/// # Validity
/// Turbulent flow.
/// # Errors
/// [`MethodError::Impossible`] if the pressure is not above 0: no setting is open enough.
/// # Examples
/// ```
/// # use tundish_engine::methods::{fittings, Off};
/// assert!((fittings::kv_for(65.06, 3000.0, 1000.0, &mut Off)? - 0.3756).abs() < 1e-4);
/// # Ok::<(), tundish_engine::methods::MethodError>(())
/// ```
pub fn kv_for(flow_l_h: f64, drop_pa: f64, density_kg_m3: f64, w: &mut impl Workings) -> Result<f64, MethodError> {
    above_zero(drop_pa, "a valve that may lose no pressure has no setting")?;
    eq!(w, FLUID_MECHANICS: kv_m3_h = flow_l_h / 1000.0 * sqrt(1e5 / drop_pa * density_kg_m3 / 1000.0));
    Ok(kv_m3_h)
}

/// Kv of a plant room whose strainer and valves are as wide as its flow asks for.
///
/// # Source
/// Common practice: 4 m³/h at least, and four times the flow, which takes 6 kPa at any size.
/// # Units
/// m³/h, a ratio, l/h; result m³/h.
/// # Validity
/// Fittings that are chosen for the flow.
/// # Examples
/// ```
/// # use tundish_engine::methods::{fittings, Off};
/// // at 2,677 l/h four times the flow, not 4 m³/h
/// let kv_m3_h = fittings::plant_kv(4.0, 4.0, 2677.0, &mut Off);
/// assert!((kv_m3_h - 10.708).abs() < 1e-9);
/// assert!((fittings::kv_drop(2677.0, kv_m3_h, 1000.0, &mut Off)? - 6250.0).abs() < 1e-6);
/// # Ok::<(), tundish_engine::methods::MethodError>(())
/// ```
pub fn plant_kv(least_m3_h: f64, times_flow: f64, flow_l_h: f64, w: &mut impl Workings) -> f64 {
    eq!(w, TRADE_PRACTICE: plant_m3_h = max(least_m3_h, times_flow * flow_l_h / 1000.0));
    plant_m3_h
}

/// Kv that a valve must be set to so that it takes a further pressure, where its way holds it open already.
///
/// # Source
/// Pressures in series add: 1/Kv² of the valve as set is that of the valve when open and that of what it takes besides.
/// # Units
/// m³/h; result m³/h.
/// # Validity
/// Turbulent flow. Always below the Kv of the open valve: what is open takes nothing besides.
/// # Errors
/// [`MethodError::Impossible`] if either Kv is not above 0.
/// # Examples
/// ```
/// # use tundish_engine::methods::{fittings, Off};
/// // 1/0.3² + 1/0.4² = 1/0.24²
/// assert!((fittings::kv_as_set(0.3, 0.4, &mut Off)? - 0.24).abs() < 1e-12);
/// # Ok::<(), tundish_engine::methods::MethodError>(())
/// ```
pub fn kv_as_set(besides_m3_h: f64, open_m3_h: f64, w: &mut impl Workings) -> Result<f64, MethodError> {
    above_zero(besides_m3_h, "a valve with Kv 0 is shut")?;
    above_zero(open_m3_h, "a valve with Kv 0 is shut")?;
    eq!(w, FLUID_MECHANICS: set_m3_h = 1.0 / sqrt(1.0 / pow(besides_m3_h, 2.0) + 1.0 / pow(open_m3_h, 2.0)));
    Ok(set_m3_h)
}

/// Kv of what a valve takes at a setting beyond what it takes when open: [`kv_as_set`] solved for it.
///
/// # Source
/// As [`kv_as_set`].
/// # Units
/// m³/h; result m³/h.
/// # Validity
/// A setting below the open valve.
/// # Examples
/// ```
/// # use tundish_engine::methods::{fittings, Off};
/// // 1/0.24² - 1/0.4² = 1/0.3²
/// assert!((fittings::kv_besides(0.24, 0.4, &mut Off) - 0.3).abs() < 1e-12);
/// ```
pub fn kv_besides(set_m3_h: f64, open_m3_h: f64, w: &mut impl Workings) -> f64 {
    eq!(w, FLUID_MECHANICS: besides_m3_h = 1.0 / sqrt(1.0 / pow(set_m3_h, 2.0) - 1.0 / pow(open_m3_h, 2.0)));
    besides_m3_h
}

/// Kv of several alike in series.
///
/// # Source
/// Pressures in series add.
/// # Units
/// m³/h, a number; result m³/h.
/// # Validity
/// At least one.
/// # Examples
/// ```
/// # use tundish_engine::methods::{fittings, Off};
/// // four take four times the pressure of one
/// assert_eq!(fittings::kv_in_series(3.0, 4.0, &mut Off), 1.5);
/// ```
pub fn kv_in_series(kv_m3_h: f64, count: f64, w: &mut impl Workings) -> f64 {
    eq!(w, FLUID_MECHANICS: all_m3_h = kv_m3_h / sqrt(count));
    all_m3_h
}

/// Kv of a loss coefficient in a bore.
///
/// # Source
/// [`zeta_drop`] and [`kv_drop`] set equal at one flow. Handbooks print it rounded, d²/(25.0·√ζ) with d in mm; exactly
/// the number is 25.009.
/// # Units
/// mm; result m³/h.
/// # Validity
/// As the two drops.
/// # Errors
/// [`MethodError::Impossible`] if the coefficient is not above 0.
/// # Examples
/// ```
/// # use tundish_engine::methods::{fittings, Off};
/// assert!((fittings::kv_of_zeta(1.0, 13.6, &mut Off)? - 7.40).abs() < 0.01);
/// # Ok::<(), tundish_engine::methods::MethodError>(())
/// ```
pub fn kv_of_zeta(zeta: f64, bore_mm: f64, w: &mut impl Workings) -> Result<f64, MethodError> {
    above_zero(zeta, "a fitting without loss has no Kv")?;
    eq!(w, FLUID_MECHANICS: kv_m3_h = 3600.0 * PI / 4.0 * pow(bore_mm / 1000.0, 2.0) * sqrt(200.0 / zeta));
    Ok(kv_m3_h)
}

/// Loss coefficient of a Kv in a bore.
///
/// # Source
/// [`kv_of_zeta`] solved for the coefficient.
/// # Units
/// m³/h, mm; result without unit, for the velocity in that bore.
/// # Validity
/// As the two drops.
/// # Errors
/// [`MethodError::Impossible`] if Kv is not above 0.
/// # Examples
/// ```
/// # use tundish_engine::methods::{fittings, Off};
/// assert!((fittings::zeta_of_kv(0.5, 13.6, &mut Off)? / 218.9 - 1.0).abs() < 0.001);
/// # Ok::<(), tundish_engine::methods::MethodError>(())
/// ```
pub fn zeta_of_kv(kv_m3_h: f64, bore_mm: f64, w: &mut impl Workings) -> Result<f64, MethodError> {
    above_zero(kv_m3_h, "a valve with Kv 0 is shut")?;
    eq!(w, FLUID_MECHANICS: zeta = 200.0 * pow(3600.0 * PI / 4.0 * pow(bore_mm / 1000.0, 2.0) / kv_m3_h, 2.0));
    Ok(zeta)
}

/// Flow through a way that loses another pressure than was meant, with the same head before it.
///
/// # Source
/// Losses that go with the square of the flow.
/// # Units
/// l/h, Pa, Pa; result l/h.
/// # Validity
/// Turbulent flow; `loses_pa` above 0, at the flow that was meant.
/// # Examples
/// ```
/// # use tundish_engine::methods::{fittings, Off};
/// // four times the loss lets half of the flow through
/// assert_eq!(fittings::flow_at_head(100.0, 2000.0, 8000.0, &mut Off), 50.0);
/// ```
pub fn flow_at_head(flow_l_h: f64, head_pa: f64, loses_pa: f64, w: &mut impl Workings) -> f64 {
    eq!(w, FLUID_MECHANICS: through_l_h = flow_l_h * sqrt(head_pa / loses_pa));
    through_l_h
}

/// Loss coefficients of a run, one way: its bends, the tee that it leaves by, and half of what both legs have together.
///
/// # Source
/// Sum of local losses at one velocity.
/// # Units
/// Without unit.
/// # Validity
/// All at the velocity in the run.
/// # Examples
/// ```
/// # use tundish_engine::methods::{fittings, Off};
/// // 4 bends of 0.5, a tee of 1.5, and 3 in both legs
/// assert_eq!(fittings::zeta_of_run(4.0, 0.5, 1.5, 3.0, &mut Off), 5.0);
/// ```
pub fn zeta_of_run(bends: f64, bend_zeta: f64, tee_zeta: f64, both_legs_zeta: f64, w: &mut impl Workings) -> f64 {
    eq!(w, FLUID_MECHANICS: run_zeta = bends * bend_zeta + tee_zeta + 0.5 * both_legs_zeta);
    run_zeta
}

/// Refuses what is not above 0, and what is no number.
fn above_zero(value: f64, reason: &'static str) -> Result<(), MethodError> {
    if value > 0.0 { Ok(()) } else { Err(MethodError::Impossible { reason }) }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::methods::Off;

    #[test]
    fn zeta_and_kv_lose_the_same_and_lead_back() {
        let density = 992.27;
        for bore_mm in [8.8, 13.6, 39.6] {
            let flow_l_h = 0.7 * PI / 4.0 * bore_mm * bore_mm * 3.6;
            for zeta in [0.1, 1.0, 219.0] {
                let kv = kv_of_zeta(zeta, bore_mm, &mut Off).unwrap();
                assert!((zeta_of_kv(kv, bore_mm, &mut Off).unwrap() / zeta - 1.0).abs() < 1e-12);
                let drop = kv_drop(flow_l_h, kv, density, &mut Off).unwrap();
                assert!((drop / zeta_drop(zeta, density, 0.7, &mut Off) - 1.0).abs() < 1e-12);
                assert!((kv_for(flow_l_h, drop, density, &mut Off).unwrap() / kv - 1.0).abs() < 1e-12);
            }
        }
    }

    #[test]
    fn refuses_a_shut_valve() {
        assert!(kv_drop(100.0, 0.0, 1000.0, &mut Off).is_err());
        assert!(zeta_of_kv(0.0, 13.6, &mut Off).is_err());
        assert!(kv_of_zeta(0.0, 13.6, &mut Off).is_err());
        assert!(kv_for(100.0, 0.0, 1000.0, &mut Off).is_err());
    }
}
