//! Constructions, with what their U-values are computed from, and the ways in which elements use them.

mod gather;
mod layers;

use crate::list::{Index, List};
use crate::methods::Off;
use crate::methods::iso_6946::{self, HeatFlow, Outline};
use crate::methods::iso_10077;
use crate::methods::iso_13370::{Basement, Edge, Slab, Suspended};

/// A construction.
#[derive(Debug, Clone, PartialEq)]
pub enum Construction {
    /// U-value given outright, or by a table (W/(m²K)).
    Known(f64),
    /// Layers between air and air, from outside inward.
    Layered(Layered),
    /// A window from its parts.
    Window(Window),
    /// A slab on the ground: its layers give its resistance.
    GroundFloor {
        /// The slab, its resistance left open.
        slab: Slab,
        /// Its layers.
        layers: Vec<Layer>,
        /// Insulation along its edge.
        edge: Option<Edge>,
    },
    /// A floor over a ventilated space: its layers give its resistance.
    SuspendedFloor {
        /// The floor, its resistance left open.
        floor: Suspended,
        /// Its layers.
        layers: Vec<Layer>,
    },
    /// A heated basement: its layers give its resistances.
    Basement {
        /// The basement, its resistances left open.
        basement: Basement,
        /// Layers of its floor.
        floor_layers: Vec<Layer>,
        /// Layers of its walls.
        wall_layers: Vec<Layer>,
    },
}

/// Layers between air and air.
#[derive(Debug, Clone, PartialEq)]
pub struct Layered {
    /// The layers, from outside inward.
    pub layers: Vec<Layer>,
    /// The tapered layer: index, outline, and what it gains in thickness (m).
    pub taper: Option<(usize, Outline, f64)>,
    /// Corrections.
    pub corrections: Option<Corrections>,
}

/// One layer.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Layer {
    /// What it is.
    pub kind: LayerKind,
    /// Share of the area that is bridged, and by what.
    pub bridge: Option<(f64, Bridge)>,
    /// Whether it conducts so little that it is insulation.
    pub insulates: bool,
}

/// What a layer is.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum LayerKind {
    /// By thickness (m) and conductivity (W/(mK)).
    Conductivity {
        /// Thickness (m).
        thickness_m: f64,
        /// Thermal conductivity (W/(mK)).
        conductivity_w_mk: f64,
    },
    /// By resistance (m²K/W).
    Resistance(f64),
    /// Air.
    Air {
        /// Thickness (m).
        thickness_m: f64,
        /// Openings to outside (mm², by metre or square metre).
        openings_mm2_m: f64,
    },
}

impl LayerKind {
    /// Thickness, where it is told (m).
    #[must_use]
    pub fn thickness_m(self) -> Option<f64> {
        match self {
            Self::Conductivity { thickness_m, .. } | Self::Air { thickness_m, .. } => Some(thickness_m),
            Self::Resistance(_) => None,
        }
    }

    /// Openings of a layer of air (mm² by metre); nothing for other layers.
    #[must_use]
    pub fn openings_mm2_m(self) -> Option<f64> {
        match self {
            Self::Air { openings_mm2_m, .. } => Some(openings_mm2_m),
            Self::Conductivity { .. } | Self::Resistance(_) => None,
        }
    }
}

impl Layered {
    /// The innermost well ventilated layer of air: neither it nor what lies outside it counts.
    #[must_use]
    pub fn well_ventilated(&self) -> Option<usize> {
        let well =
            |layer: &Layer| layer.kind.openings_mm2_m().is_some_and(|mm2_m| mm2_m >= iso_6946::WELL_VENTILATED_MM2);
        self.layers.iter().rposition(well)
    }
}

impl Construction {
    /// Thickness of the insulation in what lies under a floor (m); nothing where the job names none.
    #[must_use]
    pub fn insulation_m(&self) -> Option<f64> {
        let layers = match self {
            Self::GroundFloor { layers, .. } | Self::SuspendedFloor { layers, .. } => layers,
            Self::Basement { floor_layers, .. } => floor_layers,
            Self::Layered(layered) => &layered.layers,
            Self::Known(_) | Self::Window(_) => return None,
        };
        let insulation = layers.iter().filter(|layer| layer.insulates);
        let thickness_m: f64 = insulation.filter_map(|layer| layer.kind.thickness_m()).sum();
        (thickness_m > 0.0).then_some(thickness_m)
    }
}

impl Construction {
    /// Resistance of all layers without what bridges them, which is more than they have with it (m²K/W); nothing where
    /// none can be told. A U-value that is given counts without its two surfaces.
    #[must_use]
    pub fn layers_m2k_w(&self) -> Option<f64> {
        let layers = match self {
            Self::Known(u_value_w_m2k) => {
                // above and below a floor over outside air
                let surfaces_m2k_w = iso_6946::inside_surface(HeatFlow::Down) + iso_6946::OUTSIDE_SURFACE_M2K_W;
                return Some(iso_6946::without_surfaces(*u_value_w_m2k, surfaces_m2k_w, &mut Off));
            }
            Self::GroundFloor { layers, .. } | Self::SuspendedFloor { layers, .. } => layers,
            Self::Basement { floor_layers, .. } => floor_layers,
            Self::Layered(layered) => &layered.layers,
            Self::Window(_) => return None,
        };
        let resistance = |layer: &Layer| match layer.kind {
            LayerKind::Conductivity { thickness_m, conductivity_w_mk } => {
                iso_6946::layer_resistance(thickness_m, conductivity_w_mk, &mut Off).unwrap_or(f64::INFINITY)
            }
            LayerKind::Resistance(resistance_m2k_w) => resistance_m2k_w,
            LayerKind::Air { thickness_m, .. } => iso_6946::air_layer(thickness_m, HeatFlow::Down).unwrap_or(0.0),
        };
        Some(layers.iter().map(resistance).sum())
    }
}

/// What bridges a layer.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Bridge {
    /// By conductivity, as thick as the layer (W/(mK)).
    Conductivity(f64),
    /// By resistance (m²K/W).
    Resistance(f64),
}

/// Corrections of a U-value.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Corrections {
    /// Index of the insulation's layer.
    pub insulation: usize,
    /// Addition for air gaps before it is weighted (W/(m²K)).
    pub air_gaps_w_m2k: f64,
    /// Fixings.
    pub fixings: Option<Fixings>,
}

impl Corrections {
    /// Whether any of them goes by the resistance of the element.
    #[must_use]
    pub fn go_by_resistance(&self) -> bool {
        self.air_gaps_w_m2k > 0.0 || matches!(self.fixings, Some(Fixings::Section(..)))
    }
}

/// Fixings through insulation.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Fixings {
    /// Number (1/m²), conductivity (W/(mK)) and section (m²).
    Section(f64, f64, f64),
    /// Number (1/m²) and point transmittance (W/K).
    Point(f64, f64),
}

/// A window from its parts.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Window {
    /// Its measures.
    pub measures: Measures,
    /// Transmittance of the glazing (W/(m²K)).
    pub glazing_w_m2k: f64,
    /// Transmittance of the frame (W/(m²K)).
    pub frame_w_m2k: f64,
    /// Linear transmittance of the glass edge (W/(mK)).
    pub psi_w_mk: f64,
}

/// Measures of a window.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Measures {
    /// Width, height and width of the frame (m).
    Sizes(f64, f64, f64),
    /// Areas and edge.
    Areas(iso_10077::Measures),
    /// Width and height (m), and the frame's share (0–1).
    Share(f64, f64, f64),
}

/// What lies beyond a construction, for its surface resistance.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum Far {
    /// Outside air.
    Outside,
    /// Air of a room or another space.
    Inside,
    /// The ground.
    Ground,
}

/// One way in which a construction is used: its U-value depends on where heat flows, and into what.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Use {
    /// Index of the construction.
    pub construction: Index<Construction>,
    /// Which way heat flows.
    pub flow: HeatFlow,
    /// What lies beyond.
    pub far: Far,
}

impl Use {
    /// The use as far as it matters to the construction: a U-value that is given or of a window holds whichever way.
    pub(in crate::survey) fn new(
        construction: Index<Construction>,
        constructions: &List<Construction>,
        flow: HeatFlow,
        far: Far,
    ) -> Self {
        let (flow, far) = match constructions[construction] {
            Construction::Known(_) | Construction::Window(_) => (HeatFlow::Horizontal, Far::Outside),
            Construction::Layered(_) => (flow, far),
            Construction::Basement { .. } if flow == HeatFlow::Horizontal => (HeatFlow::Horizontal, Far::Ground),
            Construction::GroundFloor { .. } | Construction::SuspendedFloor { .. } | Construction::Basement { .. } => {
                (HeatFlow::Down, Far::Ground)
            }
        };
        Self { construction, flow, far }
    }
}
