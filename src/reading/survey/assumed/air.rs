//! What is filled in about the air.

use crate::catalogue::provenance::Provenance;
use crate::catalogue::room_use::TightnessClass;
use crate::findings;
use crate::notes::At;

findings! {
    /// What is filled in about the air.
    #[derive(Debug, Clone, PartialEq)]
    pub enum Air: Assumption of nothing: () {
        /// Heat that air carries.
        "air_heat" Heat { air_heat_wh_m3k: f64, origin: Provenance }
        at "/dwelling"
        says "a cubic metre of air carries {air_heat_wh_m3k} Wh/K, as in {origin}";

        /// The envelope that a permeability is related to.
        "envelope_area" EnvelopeArea { at: At, envelope_area_m2: f64 }
        at "{at}"
        says "envelope area {envelope_area_m2:.1} m², that of the surfaces which bound the dwelling";

        /// How rooms stand to wind and height.
        "exposure" Exposure { at: At, origin: Provenance }
        at "{at}"
        says (
            "shielding moderate and rooms at the height of their storeys where the job says nothing else; shielding coefficients of {} ({})",
            origin.source,
            origin.confidence.words()
        );

        /// Air flows from rooms with more supply to rooms with more extract.
        "overflow" Overflow {}
        at "/dwelling/ventilation"
        says "air flows from rooms with more supply than extract to rooms with more extract, mixed, and what is wanting beyond that comes from outside";

        /// What chimneys and open flues draw.
        "flues" Flues {
            room: String, flow_m3_h: f64, chimney_m3_h: f64, open_flue_m3_h: f64, origin: Provenance
        }
        at "/rooms/{room}/flues"
        says "{flow_m3_h} m³/h drawn through chimneys ({chimney_m3_h} each) and open flues ({open_flue_m3_h} each; {origin})";

        /// The least air changes of a room, by its use.
        "least_air_changes" LeastChanges { room: String, air_changes_per_h: f64, origin: Provenance }
        at "/rooms/{room}"
        says "least air changes of {air_changes_per_h} per hour by use of the room ({origin})";

        /// The air changes of a room, by its use and the tightness of the dwelling.
        "air_changes" Changes { room: String, air_changes_per_h: f64, origin: Provenance }
        at "/rooms/{room}"
        says "air changes of {air_changes_per_h} per hour by use of the room and tightness of the dwelling ({origin})";

        /// How tight the dwelling is, by its year.
        "tightness" Tightness { tightness: TightnessClass, construction_year: Option<u32> }
        at "/dwelling"
        says {
            let why = construction_year.map_or_else(
                || "the year of construction is not known".to_owned(),
                |year| format!("it was built in {year}"),
            );
            format!("tightness of the dwelling as of houses {tightness}, because {why}")
        };
    }
}
