//! U-value of every way in which a construction is used.

use crate::design::DesignError;
use crate::list::List;
use crate::methods::iso_6946::{self, FixingSection, HeatFlow, LayerPath};
use crate::methods::iso_13370::{self, Basement, Slab, Suspended};
use crate::methods::{MethodError, Workings, iso_10077};
use crate::sources::ISO_6946;
use crate::survey::{
    Bridge, Construction, Corrections, Far, Fixings, Layer, LayerKind, Layered, Measures, Survey, Use, Window,
};

/// U-value of every use (W/(m²K)), in the order of the survey.
pub(super) fn u_values<W: Workings>(survey: &Survey, w: &mut W) -> Result<List<Use, f64>, DesignError> {
    let uses = survey.uses.enumerate();
    uses.map(|(index, usage)| {
        let mut w = w.at(|| format!("/heat_loss/constructions/{index}/u_value_w_m2k"));
        u_value(&survey.constructions[usage.construction], usage, &mut w).map_err(|error| {
            DesignError::at(format!("/constructions/{}", survey.names.constructions[usage.construction]))(error)
        })
    })
    .collect()
}

fn u_value(construction: &Construction, usage: &Use, w: &mut impl Workings) -> Result<f64, MethodError> {
    match construction {
        Construction::Known(u_value_w_m2k) => Ok(*u_value_w_m2k),
        Construction::Layered(layered) => self::layered(layered, usage, w),
        Construction::Window(window) => self::window(window, w),
        Construction::GroundFloor { slab, layers, edge } => {
            let floor_m2k_w = between_surfaces(layers, usage.flow, iso_13370::OUTSIDE_SURFACE_M2K_W, w)?;
            let slab = Slab { floor_m2k_w, ..*slab };
            match edge {
                Some(edge) => iso_13370::slab_with_edge(slab, *edge, w),
                None => iso_13370::slab_on_ground(slab, w),
            }
        }
        Construction::SuspendedFloor { floor, layers } => {
            let floor_m2k_w = between_surfaces(layers, usage.flow, iso_6946::inside_surface(usage.flow), w)?;
            iso_13370::suspended_floor(Suspended { floor_m2k_w, ..*floor }, w)
        }
        Construction::Basement { basement, floor_layers, wall_layers } => {
            let outside_m2k_w = iso_13370::OUTSIDE_SURFACE_M2K_W;
            let floor_m2k_w = between_surfaces(floor_layers, HeatFlow::Down, outside_m2k_w, w)?;
            let wall_m2k_w = between_surfaces(wall_layers, HeatFlow::Horizontal, outside_m2k_w, w)?;
            let (floor, walls) = iso_13370::basement(Basement { floor_m2k_w, wall_m2k_w, ..*basement }, w)?;
            Ok(if usage.flow == HeatFlow::Horizontal { walls } else { floor })
        }
    }
}

fn window(window: &Window, w: &mut impl Workings) -> Result<f64, MethodError> {
    let measures = match window.measures {
        Measures::Sizes(width_m, height_m, frame_m) => iso_10077::by_size(width_m, height_m, frame_m, w)?,
        Measures::Areas(measures) => measures,
        Measures::Share(width_m, height_m, frame_share) => {
            let frame_m = iso_10077::frame_width(width_m, height_m, frame_share, w)?;
            iso_10077::by_size(width_m, height_m, frame_m, w)?
        }
    };
    iso_10077::window(measures, window.glazing_w_m2k, window.frame_w_m2k, window.psi_w_mk, w)
}

/// The paths through a layer.
fn path(layer: &Layer, flow: HeatFlow, w: &mut impl Workings) -> Result<LayerPath, MethodError> {
    let resistance_m2k_w = match layer.kind {
        LayerKind::Resistance(resistance_m2k_w) => resistance_m2k_w,
        LayerKind::Air { thickness_m, .. } => iso_6946::air_layer(thickness_m, flow)?,
        LayerKind::Conductivity { thickness_m, conductivity_w_mk } => {
            iso_6946::layer_resistance(thickness_m, conductivity_w_mk, w)?
        }
    };
    let bridge = match layer.bridge {
        None => None,
        Some((share, Bridge::Resistance(bridge_m2k_w))) => Some((share, bridge_m2k_w)),
        Some((share, Bridge::Conductivity(conductivity_w_mk))) => {
            // the survey refuses a bridge by conductivity through a layer that names no thickness
            let thickness_m = layer.kind.thickness_m().unwrap_or(0.0);
            Some((share, iso_6946::layer_resistance(thickness_m, conductivity_w_mk, w)?))
        }
    };
    Ok(LayerPath { resistance_m2k_w, bridge })
}

fn paths(layers: &[Layer], flow: HeatFlow, w: &mut impl Workings) -> Result<Vec<LayerPath>, MethodError> {
    layers.iter().map(|layer| path(layer, flow, w)).collect()
}

/// Resistance of layers between their surfaces (m²K/W); bridges are counted with the surfaces and these taken off.
fn between_surfaces(
    layers: &[Layer],
    flow: HeatFlow,
    outside_m2k_w: f64,
    w: &mut impl Workings,
) -> Result<f64, MethodError> {
    w.cite(&ISO_6946);
    let paths = paths(layers, flow, w)?;
    if paths.iter().all(|path| path.bridge.is_none()) {
        return Ok(paths.iter().map(|path| path.resistance_m2k_w).sum());
    }
    let inside_m2k_w = iso_6946::inside_surface(flow);
    Ok(iso_6946::combined(inside_m2k_w, &paths, outside_m2k_w, w)? - inside_m2k_w - outside_m2k_w)
}

fn layered(layered: &Layered, usage: &Use, w: &mut impl Workings) -> Result<f64, MethodError> {
    let Use { flow, far, .. } = *usage;
    let inside_m2k_w = iso_6946::inside_surface(flow);
    let outside_m2k_w = if far == Far::Outside { iso_6946::OUTSIDE_SURFACE_M2K_W } else { inside_m2k_w };
    let paths = paths(&layered.layers, flow, w)?;
    // what lies outside a well ventilated layer does not count, nor does the layer; its surface is as sheltered as one inside
    let first = layered.well_ventilated().map_or(0, |index| index + 1);
    let outside_m2k_w = if first > 0 { inside_m2k_w } else { outside_m2k_w };
    let surfaces = Surfaces { inside_m2k_w, outside_m2k_w };
    let total_m2k_w = total(layered, first, &paths, surfaces, w)?;
    if let Some((index, outline, growth_m)) = layered.taper.filter(|(index, ..)| *index >= first) {
        if let LayerKind::Conductivity { conductivity_w_mk, .. } = layered.layers[index].kind {
            let growth_m2k_w = iso_6946::layer_resistance(growth_m, conductivity_w_mk, w)?;
            return iso_6946::tapered(outline, total_m2k_w, growth_m2k_w, w);
        }
    }
    let u_value_w_m2k = iso_6946::transmittance(total_m2k_w, w);
    let Some(corrections) = layered.corrections.filter(|corrections| corrections.insulation >= first) else {
        return Ok(u_value_w_m2k);
    };
    // ISO 6946, annex F: what gaps and fixings add goes by the resistance that ignores thermal bridges
    let is_bridged = paths[first..].iter().any(|path| path.bridge.is_some());
    let total_m2k_w = if is_bridged && corrections.go_by_resistance() {
        let plain: Vec<LayerPath> = paths.iter().map(|path| LayerPath { bridge: None, ..*path }).collect();
        total(layered, first, &plain, surfaces, w)?
    } else {
        total_m2k_w
    };
    let kind = layered.layers[corrections.insulation].kind;
    let insulation = Insulation { kind, resistance_m2k_w: paths[corrections.insulation].resistance_m2k_w };
    corrected(corrections, insulation, (u_value_w_m2k, total_m2k_w), w)
}

/// Surface resistances on both sides of an element (m²K/W).
#[derive(Clone, Copy)]
struct Surfaces {
    inside_m2k_w: f64,
    outside_m2k_w: f64,
}

/// Total resistance of an element from its first layer that counts, by the openings of its air (m²K/W).
fn total(
    layered: &Layered,
    first: usize,
    paths: &[LayerPath],
    Surfaces { inside_m2k_w, outside_m2k_w }: Surfaces,
    w: &mut impl Workings,
) -> Result<f64, MethodError> {
    let slightly = |layer: &Layer| layer.kind.openings_mm2_m().filter(|mm2| *mm2 >= iso_6946::SLIGHTLY_VENTILATED_MM2);
    let ventilated =
        layered.layers.iter().enumerate().skip(first).rev().find_map(|(index, layer)| Some((index, slightly(layer)?)));
    let still_m2k_w = iso_6946::combined(inside_m2k_w, &paths[first..], outside_m2k_w, w)?;
    let Some((index, mm2)) = ventilated else { return Ok(still_m2k_w) };
    let open_m2k_w = iso_6946::combined(inside_m2k_w, &paths[index + 1..], inside_m2k_w, w)?;
    Ok(iso_6946::slightly_ventilated(mm2, still_m2k_w, open_m2k_w, w))
}

/// The layer that corrections act through.
#[derive(Clone, Copy)]
struct Insulation {
    kind: LayerKind,
    resistance_m2k_w: f64,
}

/// The U-value with its corrections, by the total resistance without bridges.
fn corrected(
    corrections: Corrections,
    insulation: Insulation,
    (u_value_w_m2k, total_m2k_w): (f64, f64),
    w: &mut impl Workings,
) -> Result<f64, MethodError> {
    let Insulation { kind, resistance_m2k_w: insulation_m2k_w } = insulation;
    let air_gaps_w_m2k = if corrections.air_gaps_w_m2k > 0.0 {
        iso_6946::air_gaps(corrections.air_gaps_w_m2k, insulation_m2k_w, total_m2k_w, w)
    } else {
        0.0
    };
    let fixings_w_m2k = match corrections.fixings {
        None => 0.0,
        Some(Fixings::Point(count_per_m2, chi_w_k)) => iso_6946::fixings_by_point(count_per_m2, chi_w_k, w),
        Some(Fixings::Section(count_per_m2, conductivity_w_mk, section_m2)) => {
            let insulation_m = kind.thickness_m();
            let reason = "fixings by their section pass through insulation of known thickness";
            let insulation_m = insulation_m.ok_or(MethodError::Impossible { reason })?;
            let fixing = FixingSection { count_per_m2, conductivity_w_mk, section_m2, insulation_m };
            iso_6946::fixings_by_section(fixing, insulation_m2k_w, total_m2k_w, w)
        }
    };
    Ok(iso_6946::corrected(u_value_w_m2k, air_gaps_w_m2k, fixings_w_m2k, w))
}
