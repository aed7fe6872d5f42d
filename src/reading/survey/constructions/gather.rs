//! Constructions, read from the job: ids and materials looked up, defaults filled and named.

use super::{Bridge, Construction, Corrections, Fixings, Layer, LayerKind, Layered, Measures, Window};
use crate::catalogue::default_rows::DefaultRow;
use crate::catalogue::provenance::Provenance;
use crate::catalogue::{Confidence, Defaults};
use crate::intake::words::did_you_mean;
use crate::intake::{Fault, FaultCode};
use crate::job::constructions::{self as written, Construction as Written, EdgeInsulation, EdgeLies};
use crate::job::dwelling::Shielding;
use crate::job::layers::{self, AirGaps, TaperOutline};
use crate::job::windows::{FrameMaterial, WindowMeasures};
use crate::list::List;
use crate::methods::iso_6946::Outline;
use crate::methods::iso_10077;
use crate::methods::iso_13370::{self, Basement, Edge, Slab, Suspended};
use crate::notes::Filled;
use crate::survey::Gathering;
use crate::survey::assumed::Fabric as Assumed;

/// Where the formulas and figures of the ground come from.
const GROUND: &str = "ISO 13370, as two open programs of building physics carry the editions of 2007 and 2010";

impl Gathering<'_> {
    pub(in crate::survey) fn constructions(&mut self) -> List<Construction> {
        let job = self.job;
        job.constructions.iter().map(|(id, construction)| self.one_construction(id, construction)).collect()
    }

    fn one_construction(&mut self, id: &str, construction: &Written) -> Construction {
        let at = format!("/constructions/{id}");
        match construction {
            Written::Known { u_value_w_m2k, .. } => Construction::Known(*u_value_w_m2k),
            Written::Typical { element, construction_year, .. } => {
                Construction::Known(self.typical(&at, element, *construction_year))
            }
            Written::Layered { layers, corrections, .. } => {
                let taper = layers.iter().enumerate().find_map(|(index, layer)| Some((index, layer.taper()?)));
                let layers = self.layers(&format!("{at}/layers"), layers);
                let taper = taper.and_then(|(index, taper)| {
                    let least_m = layers[index].kind.thickness_m()?;
                    Some((index, outline(taper.outline), taper.greatest_thickness_mm / 1000.0 - least_m))
                });
                let corrections =
                    corrections.as_ref().map(|written| self::corrections(written, &self.catalogue.defaults));
                let layered = Layered { layers, taper, corrections };
                self.note_layers(&at, &layered);
                Construction::Layered(layered)
            }
            Written::Window {
                measures, glazing_u_value_w_m2k, frame_u_value_w_m2k, frame, spacer_psi_w_mk, ..
            } => Construction::Window(Window {
                measures: self.measures(&at, measures),
                glazing_w_m2k: *glazing_u_value_w_m2k,
                frame_w_m2k: *frame_u_value_w_m2k,
                psi_w_mk: spacer_psi_w_mk.unwrap_or_else(|| self.psi(&at, *frame)),
            }),
            Written::GroundFloor { layers, edge_insulation, .. } => Construction::GroundFloor {
                slab: self.slab(&at, construction),
                layers: self.layers_below(&format!("{at}/layers"), layers),
                edge: edge_insulation.as_ref().map(|edge| self.edge(&at, edge)),
            },
            Written::SuspendedFloor { layers, .. } => Construction::SuspendedFloor {
                floor: self.suspended(&at, construction),
                layers: self.layers_below(&format!("{at}/layers"), layers),
            },
            Written::Basement { floor_layers, wall_layers, depth_m, .. } => {
                let origin = Provenance::published(GROUND);
                self.notes.add(&Assumed::Basement { at: at.as_str().into(), origin });
                let Slab { area_m2, perimeter_m, wall_thickness_m, ground_w_mk, .. } = self.slab(&at, construction);
                Construction::Basement {
                    basement: Basement {
                        area_m2,
                        perimeter_m,
                        depth_m: *depth_m,
                        wall_thickness_m,
                        ground_w_mk,
                        floor_m2k_w: 0.0,
                        wall_m2k_w: 0.0,
                    },
                    floor_layers: self.layers_below(&format!("{at}/floor_layers"), floor_layers),
                    wall_layers: self.layers_below(&format!("{at}/wall_layers"), wall_layers),
                }
            }
        }
    }

    fn edge(&mut self, at: &str, edge: &EdgeInsulation) -> Edge {
        let origin = Provenance::published(GROUND);
        self.notes.add(&Assumed::EdgeInsulation { at: at.into(), origin });
        Edge {
            is_horizontal: edge.lies == EdgeLies::Horizontal,
            reach_m: edge.reach_m,
            thickness_m: edge.thickness_mm / 1000.0,
            conductivity_w_mk: edge.conductivity_w_mk,
        }
    }

    /// The U-value of an undocumented element by the year that it was built in.
    fn typical(&mut self, at: &str, element: &str, year: Option<u32>) -> f64 {
        /// Stands in for a U-value that is told as missing.
        const NONE: f64 = 1.0;
        if self.catalogue.typical_part(element).is_none() {
            let mut known: Vec<&str> = self.catalogue.typical_u_values.iter().map(|row| row.element.as_str()).collect();
            known.dedup();
            let meant = did_you_mean(element, known.iter().copied());
            let detail = format!("there is no typical element {element}; there are {}{meant}", known.join(", "));
            self.faults.push(Fault::new(format!("{at}/element"), FaultCode::UnknownElement, detail));
            return NONE;
        }
        let Some(year) = year.or(self.job.dwelling.construction_year) else {
            let detail =
                "a typical U-value goes by the year of construction: give construction_year here or of the dwelling";
            let fault = Fault::new(at, FaultCode::MissingField, detail);
            self.faults.push(fault.rests_on("/dwelling/construction_year").rests_on(format!("{at}/construction_year")));
            return NONE;
        };
        let Some(row) = self.catalogue.typical(element, year) else {
            let detail = format!("there is no typical U-value of {element} for {year}");
            self.faults.push(Fault::new(at, FaultCode::UnknownElement, detail));
            return NONE;
        };
        self.notes.add(&Assumed::TypicalUValue {
            at: at.into(),
            element: row.description.clone(),
            construction_year: year,
            u_value_w_m2k: row.u_value_w_m2k,
            origin: Provenance { source: row.source.clone(), confidence: row.confidence },
        });
        row.u_value_w_m2k
    }

    /// Layers in the ground, where no air is changed.
    fn layers_below(&mut self, at: &str, layers: &[layers::Layer]) -> Vec<Layer> {
        let layers = self.layers(at, layers);
        self.note_layers_below(at, &layers);
        layers
    }

    fn layers(&mut self, at: &str, layers: &[layers::Layer]) -> Vec<Layer> {
        layers.iter().enumerate().map(|(index, layer)| self.layer(&format!("{at}/{index}"), layer)).collect()
    }

    fn layer(&mut self, at: &str, layer: &layers::Layer) -> Layer {
        let kind = match layer {
            layers::Layer::Material { material, thickness_mm, .. } => LayerKind::Conductivity {
                thickness_m: thickness_mm / 1000.0,
                conductivity_w_mk: self.material(&format!("{at}/material"), material),
            },
            layers::Layer::Conductivity { thickness_mm, conductivity_w_mk, .. } => {
                LayerKind::Conductivity { thickness_m: thickness_mm / 1000.0, conductivity_w_mk: *conductivity_w_mk }
            }
            layers::Layer::Resistance { resistance_m2k_w, .. } => LayerKind::Resistance(*resistance_m2k_w),
            layers::Layer::Air { thickness_mm, openings_mm2_m, .. } => LayerKind::Air {
                thickness_m: thickness_mm / 1000.0,
                openings_mm2_m: openings_mm2_m.unwrap_or(self.catalogue.defaults.air_layer_openings_mm2_m.value),
            },
        };
        let bridge = layer.bridge().map(|bridge| self.bridge(at, kind, bridge));
        let insulates = match kind {
            LayerKind::Conductivity { conductivity_w_mk, .. } => {
                conductivity_w_mk < self.catalogue.defaults.insulation_below_w_mk.value
            }
            LayerKind::Resistance(_) | LayerKind::Air { .. } => false,
        };
        Layer { kind, bridge, insulates }
    }

    fn bridge(&mut self, at: &str, kind: LayerKind, bridge: &layers::Bridge) -> (f64, Bridge) {
        let (fraction, found) = match bridge {
            layers::Bridge::Material { fraction, material } => {
                (*fraction, Bridge::Conductivity(self.material(&format!("{at}/bridged_by/material"), material)))
            }
            layers::Bridge::Conductivity { fraction, conductivity_w_mk } => {
                (*fraction, Bridge::Conductivity(*conductivity_w_mk))
            }
            layers::Bridge::Resistance { fraction, resistance_m2k_w } => {
                (*fraction, Bridge::Resistance(*resistance_m2k_w))
            }
        };
        if matches!(found, Bridge::Conductivity(_)) && kind.thickness_m().is_none() {
            let detail = "a layer that names no thickness is bridged by a resistance, not by a conductivity";
            self.faults.push(Fault::new(format!("{at}/bridged_by"), FaultCode::BridgeWithoutThickness, detail));
        }
        (fraction, found)
    }

    /// The conductivity of a material (W/(mK)).
    fn material(&mut self, at: &str, code: &str) -> f64 {
        let Some(material) = self.catalogue.material(code) else {
            let known: Vec<&str> = self.catalogue.materials.iter().map(|material| material.code.as_str()).collect();
            let meant = did_you_mean(code, known.iter().copied());
            let detail = format!("there is no material {code}; there are {}{meant}", known.join(", "));
            self.faults.push(Fault::new(at, FaultCode::UnknownMaterial, detail));
            return 1.0;
        };
        if material.confidence == Confidence::FromMemory {
            self.notes.add_once(&Assumed::Material {
                at: at.into(),
                material: material.description.clone(),
                conductivity_w_mk: material.conductivity_w_mk,
                origin: Provenance { source: material.source.clone(), confidence: material.confidence },
            });
        }
        material.conductivity_w_mk
    }

    fn measures(&mut self, at: &str, measures: &WindowMeasures) -> Measures {
        match *measures {
            WindowMeasures::Sizes { width_mm, height_mm, frame_width_mm } => {
                Measures::Sizes(width_mm / 1000.0, height_mm / 1000.0, frame_width_mm / 1000.0)
            }
            WindowMeasures::Areas { glass_area_m2, frame_area_m2, glass_edge_m } => {
                let (glass_m2, frame_m2, edge_m) = (glass_area_m2, frame_area_m2, glass_edge_m);
                Measures::Areas(iso_10077::Measures { glass_m2, frame_m2, edge_m })
            }
            WindowMeasures::Share { frame_share, width_mm, height_mm } => {
                let defaults = &self.catalogue.defaults;
                let (width_m, height_m) =
                    (defaults.window_width_mm.value / 1000.0, defaults.window_height_mm.value / 1000.0);
                if width_mm.is_none() || height_mm.is_none() {
                    self.notes.add(&Assumed::WindowSize { at: at.into(), width_m, height_m });
                }
                let metres = |given_mm: Option<f64>, default_m: f64| given_mm.map_or(default_m, |mm| mm / 1000.0);
                Measures::Share(metres(width_mm, width_m), metres(height_mm, height_m), frame_share)
            }
        }
    }

    fn psi(&mut self, at: &str, frame: Option<FrameMaterial>) -> f64 {
        let psi_w_mk = match frame {
            Some(FrameMaterial::WoodOrPlastic) | None => iso_10077::PSI_WOOD_OR_PLASTIC_W_MK,
            Some(FrameMaterial::MetalWithBreak) => iso_10077::PSI_METAL_WITH_BREAK_W_MK,
        };
        self.notes.add(&Assumed::Spacer { at: at.into(), psi_w_mk });
        psi_w_mk
    }

    /// Area, perimeter, walls and ground of a floor in the ground; its resistance is left open.
    fn slab(&mut self, at: &str, construction: &Written) -> Slab {
        let (Written::GroundFloor { area_m2, exposed_perimeter_m, wall_thickness_mm, soil, .. }
        | Written::SuspendedFloor { area_m2, exposed_perimeter_m, wall_thickness_mm, soil, .. }
        | Written::Basement { area_m2, exposed_perimeter_m, wall_thickness_mm, soil, .. }) = construction
        else {
            // only these lie in the ground
            return Slab { area_m2: 1.0, perimeter_m: 0.0, wall_thickness_m: 0.0, ground_w_mk: 1.0, floor_m2k_w: 0.0 };
        };
        if *soil != written::Soil::Clay {
            let (ground_w_mk, origin) = (conductivity(*soil), Provenance::published(GROUND));
            self.notes.add(&Assumed::Soil { at: at.into(), ground_w_mk, origin });
        }
        Slab {
            area_m2: *area_m2,
            perimeter_m: *exposed_perimeter_m,
            wall_thickness_m: wall_thickness_mm / 1000.0,
            ground_w_mk: conductivity(*soil),
            floor_m2k_w: 0.0,
        }
    }

    fn suspended(&mut self, at: &str, construction: &Written) -> Suspended {
        let Slab { area_m2, perimeter_m, wall_thickness_m, ground_w_mk, floor_m2k_w } = self.slab(at, construction);
        let (height_m, wall_w_m2k, vents_mm2_m, shielding) =
            if let Written::SuspendedFloor { height_m, space_wall_u_value_w_m2k, vents_mm2_m, shielding, .. } =
                construction
            {
                (*height_m, *space_wall_u_value_w_m2k, *vents_mm2_m, *shielding)
            } else {
                (None, None, None, None)
            };
        let defaults = &self.catalogue.defaults;
        let wind_m_s = defaults.suspended_floor_wind_m_s.value;
        let mut filled = Filled::default();
        filled.figure("wind_m_s", wind_m_s, format!("wind of {wind_m_s} m/s"));
        let mut or = |given: Option<f64>, default: &DefaultRow<f64>, name, words: fn(f64) -> String| {
            given.unwrap_or_else(|| {
                filled.figure(name, default.value, words(default.value));
                default.value
            })
        };
        let height_m =
            or(height_m, &defaults.suspended_floor_height_m, "height_m", |m| format!("{m} m above the ground"));
        let wall = (wall_w_m2k, &defaults.suspended_floor_wall_w_m2k);
        let space_wall_w_m2k =
            or(wall.0, wall.1, "space_wall_u_value_w_m2k", |w_m2k| format!("walls of the space of {w_m2k} W/(m²K)"));
        let vents = (vents_mm2_m, &defaults.suspended_floor_vents_mm2_m);
        let vents_mm2_m = or(vents.0, vents.1, "vents_mm2_m", |mm2_m| format!("vents of {mm2_m} mm² a metre"));
        let vents_m2_m = vents_mm2_m / 1e6;
        let origin = defaults.suspended_floor_wind_m_s.provenance.clone();
        self.notes.add(&Assumed::SuspendedFloor { at: at.into(), filled, origin });
        let wind_shielding = match shielding {
            Some(Shielding::None) => defaults.wind_shielding_none.value,
            Some(Shielding::Moderate) | None => defaults.wind_shielding_moderate.value,
            Some(Shielding::Heavy) => defaults.wind_shielding_heavy.value,
        };
        Suspended {
            area_m2,
            perimeter_m,
            wall_thickness_m,
            ground_w_mk,
            floor_m2k_w,
            height_m,
            space_wall_w_m2k,
            vents_m2_m,
            wind_m_s,
            wind_shielding,
        }
    }
}

fn conductivity(soil: written::Soil) -> f64 {
    match soil {
        written::Soil::Clay => iso_13370::CLAY_W_MK,
        written::Soil::Sand => iso_13370::SAND_W_MK,
        written::Soil::Rock => iso_13370::ROCK_W_MK,
    }
}

fn outline(outline: TaperOutline) -> Outline {
    match outline {
        TaperOutline::Rectangle => Outline::Rectangle,
        TaperOutline::TriangleThickestAtApex => Outline::ThickestAtApex,
        TaperOutline::TriangleThinnestAtApex => Outline::ThinnestAtApex,
    }
}

fn corrections(corrections: &layers::Corrections, defaults: &Defaults) -> Corrections {
    Corrections {
        insulation: usize::try_from(corrections.insulation_layer).map_or(0, |number| number.saturating_sub(1)),
        air_gaps_w_m2k: match corrections.air_gaps {
            Some(AirGaps::None) | None => 0.0,
            Some(AirGaps::Bridging) => defaults.insulation_gaps_bridging_w_m2k.value,
            Some(AirGaps::Circulating) => defaults.insulation_gaps_circulating_w_m2k.value,
        },
        fixings: corrections.fixings.as_ref().map(|fixings| match *fixings {
            layers::Fixings::Section { count_per_m2, conductivity_w_mk, section_mm2 } => {
                Fixings::Section(count_per_m2, conductivity_w_mk, section_mm2 / 1e6)
            }
            layers::Fixings::Point { count_per_m2, chi_w_k } => Fixings::Point(count_per_m2, chi_w_k),
        }),
    }
}
