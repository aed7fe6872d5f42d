//! What is filled in about climate, constructions and rooms.

use crate::catalogue::provenance::{Provenance, Recalled};
use crate::findings;
use crate::notes::{At, Filled, Fills};

findings! {
    /// What is filled in about climate, constructions and rooms.
    #[derive(Debug, Clone, PartialEq)]
    pub enum Fabric: Assumption of nothing: () {
        /// The mean outside temperature of the year.
        "annual_mean_outside" AnnualMeanOutside { annual_mean_outside_c: f64, origin: Provenance }
        at "/site/climate"
        says ("annual mean outside temperature {annual_mean_outside_c} °C, the mean of the United Kingdom ({})", origin.source);

        /// The altitude of the site, that of its climate station.
        "altitude" Altitude { station: String, altitude_m: f64 }
        at "/site"
        says "the site stands as high as its station {station}, {altitude_m} m";

        /// The figures of a climate station, corrected to the site's altitude.
        "station" Station {
            station: String, station_outside_design_c: f64, station_altitude_m: f64, annual_mean_outside_c: f64, origin: Provenance
        }
        at "/site/climate"
        says (
            "station {station}: {station_outside_design_c} °C at {station_altitude_m} m, corrected to the site's altitude; annual mean {annual_mean_outside_c} °C, not corrected ({}; {})",
            origin.source,
            origin.confidence.words()
        );

        /// The inside design temperature of a room, by its use.
        "inside_design" InsideDesign { room: String, inside_design_c: f64, origin: Provenance }
        at "/rooms/{room}"
        says "inside design temperature {inside_design_c} °C by use of the room ({origin})";

        /// Output by floor area to be warm again after a setback.
        "reheat" Reheat { room: String, reheat_w_m2: f64, origin: Provenance }
        at "/rooms/{room}/reheat"
        says "{reheat_w_m2} W/m² to be warm again ({origin})";

        /// Ground water lies deep.
        "ground_water" GroundWater {}
        at "/dwelling"
        says "ground water is taken to lie deeper than 1 m below the floors";

        /// What a high room loses more by convection; the first such room.
        "high_room" HighRoom { room: String, above_m: f64, more_percent: f64, origin: Provenance }
        at "/rooms/{room}/height_m"
        says (
            "a room above {above_m} m in height loses {more_percent:.0} % more as far as it is warmed by convection ({origin})"
        );

        /// The perimeter of a floor, that of a square.
        "perimeter" Perimeter { room: String, perimeter_m: f64 }
        at "/rooms/{room}"
        says "perimeter {perimeter_m:.2} m, that of a square of the floor's area";

        /// The temperature of adjoining dwellings.
        "adjoining" Adjoining { adjoining_dwelling_c: f64 }
        at "/dwelling"
        says "adjoining dwellings stand at {adjoining_dwelling_c} °C, the practice when rooms are sized";

        /// Surfaces that name nothing on their other side face outside.
        "faces_outside" FacesOutside { surfaces: usize }
        at "/rooms"
        says {
            match surfaces {
                1 => "one surface names nothing on its other side and is taken to face outside".to_owned(),
                _ => format!("{surfaces} surfaces name nothing on their other side and are taken to face outside"),
            }
        };

        /// What thermal bridges add to U-values.
        "thermal_bridging" ThermalBridging { allowance_w_m2k: f64, origin: Provenance }
        at "/dwelling"
        says "thermal bridges add {allowance_w_m2k} W/(m²K) to elements to outside and to unheated spaces ({origin})";

        /// Spreads of what is not sure, by how it is known.
        "spread" Spread { u_values: String, air: String, areas: String }
        at ""
        says "where the job gives no spread: U-values are known to {u_values}, air to {air}, areas to {areas}, as they are measured, documented or assumed (relative standard deviations chosen for this program)";

        /// The formulas for a basement.
        "basement" Basement { at: At, origin: Provenance }
        at "{at}"
        says "floor and walls of a basement by the formulas of ISO 13370 ({origin})";

        /// The formulas for insulation along the edge of a slab.
        "edge_insulation" EdgeInsulation { at: At, origin: Provenance }
        at "{at}/edge_insulation"
        says "insulation along the edge by the formulas of ISO 13370 ({origin})";

        /// The U-value of an element by its year.
        "typical_u_value" TypicalUValue {
            at: At, element: String, construction_year: u32, u_value_w_m2k: f64, origin: Provenance
        }
        at "{at}"
        says (
            "{element}, built in {construction_year}: {u_value_w_m2k} W/(m²K) ({}; {})",
            origin.source,
            origin.confidence.words()
        );

        /// The conductivity of a material.
        "material" Material { at: At, material: String, conductivity_w_mk: f64, origin: Provenance }
        at "{at}"
        says "{material} conducts {conductivity_w_mk} W/(mK) ({origin})";

        /// The size of a window whose job gives the share of its frame.
        "window_size" WindowSize { at: At, width_m: f64, height_m: f64 }
        at "{at}/measures"
        says "a window of {width_m} m x {height_m} m, the standard's, where no size is given";

        /// The edge of a window's glass.
        "spacer" Spacer { at: At, psi_w_mk: f64 }
        at "{at}"
        says "the glass edge has {psi_w_mk} W/(mK), a standard spacer with low-emissivity glass (ISO 10077-1)";

        /// What the ground conducts.
        "soil" Soil { at: At, ground_w_mk: f64, origin: Provenance }
        at "{at}/soil"
        says "the ground conducts {ground_w_mk} W/(mK) ({origin})";

        /// The space under a suspended floor.
        "suspended_floor" SuspendedFloor { at: At, filled: Filled<FilledSuspended>, origin: Provenance }
        at "{at}"
        says ("the floor over the ventilated space: {} ({origin})", filled.join(", "));

        /// A well ventilated layer of air: it and what lies outside it do not count.
        "ventilated_layer" VentilatedLayer { at: At, layer: usize }
        at "{at}/layers/{layer}"
        says "a well ventilated layer of air: it and the {layer} layers outside it do not count (ISO 6946)";

        /// The formulas for air gaps and fixings.
        "corrections" Corrections { at: At, origin: Provenance, left_out: Recalled }
        at "{at}/corrections"
        says "corrections for air gaps and fixings ({origin}); what is left out as small by {left_out} (from memory, confirm)";

        /// The resistances of air layers.
        "air_layers" AirLayers { at: At, origin: Provenance }
        at "{at}"
        says "air layers by the table of ISO 6946 ({origin})";
    }
}

/// What is filled in under a suspended floor.
#[derive(Debug, Clone, PartialEq)]
pub struct FilledSuspended;

impl Fills for FilledSuspended {
    const NAMES: &'static [&'static str] = &["wind_m_s", "height_m", "space_wall_u_value_w_m2k", "vents_mm2_m"];
}
