//! What lockshields and the valves of loops are set to, so that every way takes what the index circuit takes.

use super::Warning;
use super::circuits::Circuit;
use super::ends::Loop;
use super::flows::end_flow;
use super::laying::Laying;
use crate::catalogue::products::{Product, ValvePreset};
use crate::design::units::kpa;
use crate::methods::math::ln;
use crate::methods::{MethodError, Workings, fittings, friction, last_steps, sums};
use crate::survey::{EmitterAt, End, Survey};

/// A valve to be set.
#[derive(Debug, Clone, PartialEq)]
pub struct Setting {
    /// What it stands at.
    pub of: SettingOf,
    /// Flow (l/h).
    pub flow_l_h: f64,
    /// Pressure that it must take (Pa).
    pub excess_pa: f64,
    /// Flow coefficient that takes it (m³/h); nothing where it is left open.
    pub kv_m3_h: Option<f64>,
    /// Flow coefficient that the valve itself has then, its open resistance in it (m³/h); nothing where the book does not tell
    /// how open it can be.
    pub valve_kv_m3_h: Option<f64>,
    /// Flow coefficient of that valve when open, where the book tells it (m³/h).
    pub open_kv_m3_h: Option<f64>,
    /// Setting with the nearest flow coefficient, where the valve has positions.
    pub position: Option<ValvePreset>,
    /// Whether even its first position is more than a tenth too open.
    pub is_beyond: bool,
    /// Flow at that position (l/h), as far as the rest of its way takes what it should.
    pub position_l_h: Option<f64>,
}

/// What a valve stands at.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum SettingOf {
    /// The lockshield of an emitter, or the regulating valve of a manifold.
    End(End),
    /// A loop of a floor.
    Loop(Loop),
}

/// The settings: ends against the index circuit, loops against the worst of their manifold. What stays open has valves of its own.
pub(super) fn settings<W: Workings>(
    laying: &Laying<'_>,
    is_open: &impl Fn(EmitterAt) -> bool,
    w: &mut W,
) -> Result<Vec<Setting>, MethodError> {
    let (survey, emitters, loops) = (laying.survey, laying.emitters, &laying.loops);
    let density = emitters.water.density_kg_m3;
    let most_pa = laying.circuits.iter().map(|circuit| circuit.drop_pa).fold(0.0, f64::max);
    let mut ways = Vec::new();
    for Circuit { end, drop_pa, end_pa, .. } in &laying.circuits {
        let flow_kg_s = end_flow(survey, emitters, *end);
        ways.push((SettingOf::End(*end), Way { flow_kg_s, most_pa, drop_pa: *drop_pa, own_pa: *end_pa }));
    }
    for &one in loops {
        let of_manifold = loops.iter().filter(|other| other.manifold == one.manifold);
        let most_pa = of_manifold.map(|other| other.drop_pa).fold(0.0, f64::max);
        let Loop { flow_kg_s, drop_pa, .. } = one;
        ways.push((SettingOf::Loop(one), Way { flow_kg_s, most_pa, drop_pa, own_pa: drop_pa }));
    }
    let of_loops = of_manifolds(survey);
    let settings = ways.into_iter().enumerate().map(|(number, (of, way))| {
        let mut w = w.at(|| format!("/pipework/balancing/{number}"));
        let presets = match of {
            // the valves of what stays are not known
            SettingOf::End(End::Radiator(at)) if emitters.emitter(at).kind.is_hung() => {
                survey.radiator_valves(is_open(at)).map_or(&[][..], |(_, presets)| presets)
            }
            SettingOf::Loop(_) => of_loops,
            SettingOf::End(End::Radiator(_) | End::Manifold(_)) => &[],
        };
        setting(survey, (of, way), (presets, density), &mut w)
    });
    settings.collect()
}

/// A way as far as its valve is concerned.
#[derive(Debug, Clone, Copy)]
struct Way {
    /// Flow (kg/s).
    flow_kg_s: f64,
    /// Pressure that the worst way beside it takes (Pa).
    most_pa: f64,
    /// Pressure that it takes itself (Pa).
    drop_pa: f64,
    /// Pressure that its end takes, the open valve among it (Pa).
    own_pa: f64,
}

fn setting<W: Workings>(
    survey: &Survey,
    (of, way): (SettingOf, Way),
    (presets, density): (&[ValvePreset], f64),
    w: &mut W,
) -> Result<Setting, MethodError> {
    let Way { flow_kg_s, most_pa, drop_pa, own_pa } = way;
    let flow_l_h = friction::volume_flow(flow_kg_s, density, &mut w.within("flow_l_h"));
    match of {
        SettingOf::Loop(_) => {
            last_steps::each_l_min(flow_l_h, 1.0, &mut w.within("flow_l_min"));
        }
        SettingOf::End(_) => {}
    }
    let excess_pa = last_steps::excess_pa(most_pa, drop_pa, &mut w.within("excess_pressure_pa"));
    let (open_below_pa, much) =
        (survey.defaults.valve_open_below_pa.value, survey.defaults.valve_position_beyond.value);
    let is_open = excess_pa < open_below_pa || flow_l_h <= 0.0;
    let kv_m3_h =
        if is_open { None } else { Some(fittings::kv_for(flow_l_h, excess_pa, density, &mut w.within("kv_m3_h"))?) };
    // the way holds the open valve already
    let open_kv_m3_h = presets.last().map(|open| open.kv_m3_h);
    let valve_kv_m3_h = match kv_m3_h.zip(open_kv_m3_h) {
        Some((kv, open_m3_h)) => Some(fittings::kv_as_set(kv, open_m3_h, &mut w.within("valve_kv_m3_h"))?),
        None => None,
    };
    let position = valve_kv_m3_h.and_then(|kv| nearest(presets, kv)).cloned();
    let first = presets.first().zip(valve_kv_m3_h);
    let is_beyond = first.is_some_and(|(first, kv)| first.kv_m3_h > much * kv);
    let position_l_h = match position.as_ref().zip(open_kv_m3_h) {
        Some((preset, open_m3_h)) => {
            // what end and valve take together stays; both go with the square of the flow
            let mut w = w.within("position_flow_l_h");
            let open_pa = fittings::kv_drop(flow_l_h, open_m3_h, density, &mut w)?;
            let set_pa = fittings::kv_drop(flow_l_h, preset.kv_m3_h, density, &mut w)?;
            let loses_pa = sums::instead(own_pa, open_pa, set_pa, &mut w);
            let head_pa = sums::and_pa(own_pa, excess_pa, &mut w);
            Some(fittings::flow_at_head(flow_l_h, head_pa, loses_pa, &mut w))
        }
        None => None,
    };
    Ok(Setting { of, flow_l_h, excess_pa, kv_m3_h, valve_kv_m3_h, open_kv_m3_h, position, is_beyond, position_l_h })
}

/// A warning where valves of radiators take more than is not heard, as they are set.
pub(super) fn loud(survey: &Survey, laying: &Laying<'_>) -> Option<Warning> {
    let most_kpa = survey.defaults.valve_quiet_kpa.value;
    let takes = laying.settings.iter().filter_map(|setting| {
        let SettingOf::End(End::Radiator(at)) = setting.of else { return None };
        let circuit = laying.circuits.iter().find(|circuit| circuit.end == End::Radiator(at))?;
        Some((at, kpa(circuit.end_pa + setting.excess_pa)))
    });
    let beyond: Vec<(EmitterAt, f64)> = takes.filter(|(_, takes_kpa)| *takes_kpa > most_kpa).collect();
    let (at, takes_kpa) = beyond.iter().copied().max_by(|(_, a), (_, b)| a.total_cmp(b))?;
    Some(Warning::LoudValves { valves: beyond.len(), at, takes_kpa, most_kpa })
}

/// Positions of the valves of loops, of the first manifold that has any.
fn of_manifolds(survey: &Survey) -> &[ValvePreset] {
    let mut all = survey.book.products.values().filter_map(|product| {
        let Product::Manifold { presets, .. } = product else { return None };
        Some(presets.as_slice())
    });
    all.find(|presets| !presets.is_empty()).unwrap_or_default()
}

/// The position whose flow coefficient is nearest, by ratio.
fn nearest(presets: &[ValvePreset], kv_m3_h: f64) -> Option<&ValvePreset> {
    let far = |preset: &ValvePreset| ln(preset.kv_m3_h / kv_m3_h).abs();
    presets.iter().min_by(|a, b| far(a).total_cmp(&far(b)))
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Source: a published valve sheet (maker not recorded): Kv 0.3756 is level 4 of 1 to 8.
    #[test]
    fn the_nearest_level_of_a_published_valve() {
        let levels = [0.13, 0.22, 0.31, 0.38, 0.47, 0.57, 0.66, 0.75];
        let presets: Vec<ValvePreset> = (1..)
            .zip(levels)
            .map(|(level, kv_m3_h)| ValvePreset { position: Some(level.to_string()), turns: None, kv_m3_h })
            .collect();
        assert_eq!(nearest(&presets, 0.3756).and_then(|preset| preset.position.as_deref()), Some("4"));
        assert!(nearest(&[], 0.3756).is_none());
    }
}
