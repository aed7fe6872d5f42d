//! What stands in for what a job leaves out: one row of the table for each, and one field for each row.
//!
//! A sentence that tells an assumption takes value and source from here, and so does the published schema, where a doc
//! comment says `default:NAME`.

use std::sync::Arc;

use super::binder::Binder;
use super::built_in::Catalogue;
use super::default_rows::{DefaultRow, Lines, Steps};
use super::error::CatalogueError;
use super::rows::{DataFile, data_file};

/// Declares the defaults and what reads them in one go, so that no row and no field can be without the other.
macro_rules! defaults {
    ($($key:ident: $kind:ty,)+) => {
        /// Every default of the program; what each means stands in its row.
        #[derive(Debug, Clone, PartialEq)]
        #[expect(missing_docs, reason = "the rows of the table say what each is")]
        pub struct Defaults {
            $(pub $key: DefaultRow<$kind>,)+
        }

        impl Defaults {
            /// Names of all defaults.
            pub const NAMES: &[&str] = &[$(stringify!($key)),+];

            fn read_from(file: DataFile) -> Result<Self, CatalogueError> {
                let mut lines = Lines::read(file)?;
                let defaults = Self { $($key: lines.take(stringify!($key))?,)+ };
                lines.end().map(|()| defaults)
            }

            /// The value of a default as its row writes it, by its name.
            #[must_use]
            pub fn written(&self, name: &str) -> Option<&str> {
                match name {
                    $(stringify!($key) => Some(&self.$key.written),)+
                    _ => None,
                }
            }
        }
    };
}

defaults! {
    annual_mean_outside_c: f64,
    adjoining_dwelling_c: f64,
    air_heat_wh_m3k: f64,
    thermal_bridging_w_m2k: f64,
    chimney_m3_h: f64,
    open_flue_m3_h: f64,
    least_air_changes_wet_room_per_h: f64,
    least_air_changes_per_h: f64,
    ventilation_imbalance: f64,
    ground_storey_height_m: f64,
    storey_height_m: f64,
    floor_thickness_m: f64,
    draws: u32,
    draws_seed: u32,
    u_value_spread_measured: f64,
    u_value_spread_documented: f64,
    u_value_spread_assumed: f64,
    air_spread_measured: f64,
    air_spread_documented: f64,
    air_spread_assumed: f64,
    area_spread_measured: f64,
    area_spread_documented: f64,
    area_spread_assumed: f64,
    insulation_below_w_mk: f64,
    air_layer_openings_mm2_m: f64,
    suspended_floor_wind_m_s: f64,
    suspended_floor_height_m: f64,
    suspended_floor_wall_w_m2k: f64,
    suspended_floor_vents_mm2_m: f64,
    wind_shielding_none: f64,
    wind_shielding_moderate: f64,
    wind_shielding_heavy: f64,
    insulation_gaps_bridging_w_m2k: f64,
    insulation_gaps_circulating_w_m2k: f64,
    window_width_mm: f64,
    window_height_mm: f64,
    below_radiator_mm: f64,
    below_sill_mm: f64,
    radiator_valve_mm: f64,
    radiator_enclosure_factor: f64,
    existing_radiator_exponent: f64,
    floor_spacing_least_mm: f64,
    floor_spacing_most_mm: f64,
    floor_spacing_step_mm: f64,
    screed_binder: Binder,
    cement_screed_cover_mm: f64,
    cement_screed_w_mk: f64,
    calcium_sulphate_screed_cover_mm: f64,
    calcium_sulphate_screed_w_mk: f64,
    screed_flow_max_c: f64,
    floor_tail_m: f64,
    floor_loop_max_m: f64,
    floor_loop_pressure_drop_max_kpa: f64,
    slow_loop_l_min: f64,
    floor_drop_max_k: f64,
    mould_below_c: f64,
    set_aside_most_share: f64,
    lines_apart_mm: f64,
    edge_zone_max_m: f64,
    kitchen_floor_unheated: f64,
    floor_surface_max_c: f64,
    edge_surface_max_c: f64,
    bathroom_surface_above_room_k: f64,
    timber_surface_max_c: f64,
    cooling_inside_c: f64,
    cooling_relative_humidity: f64,
    cooled_surface_min_c: f64,
    dew_point_margin_k: f64,
    flow_temperature_c: f64,
    flow_drop_k: f64,
    least_radiator_flow_l_h: f64,
    least_loop_flow_l_h: f64,
    kept_radiator_drop_k: f64,
    lowest_flow_from_c: f64,
    lowest_flow_to_c: f64,
    compared_flow_from_c: f64,
    compared_flows: u32,
    mild_day_c: f64,
    milder_day_c: f64,
    change_closer_m: f64,
    change_closest_m: f64,
    change_covering_m2k_w: f64,
    change_moved_share: f64,
    hot_water_litres_per_person_l: f64,
    hot_water_storage_c: f64,
    hot_water_flow_c: f64,
    hot_water_loss_factor: f64,
    disinfection_c: f64,
    disinfection_h: f64,
    disinfection_days: u32,
    floor_test_bar: f64,
    safety_valve_bar: f64,
    bend_zeta: f64,
    tee_zeta: f64,
    radiator_kv_m3_h: f64,
    floor_loop_kv_m3_h: f64,
    plant_kv_m3_h: f64,
    plant_kv_times_flow: f64,
    coil_kv_m3_h: f64,
    coldest_air_below_design_k: f64,
    freeze_valves_reach_m: f64,
    antifreeze_measured_c: f64,
    pipe_surrounding_c: f64,
    pipe_insulation_rooms_mm: f64,
    pipe_insulation_plant_room_mm: f64,
    pipe_insulation_unheated_mm: f64,
    pipe_insulation_outdoors_mm: f64,
    pipe_insulation_w_mk: f64,
    pipe_insulation_fit_mm: f64,
    reading_spread: f64,
    readings_apart: f64,
    reading_water_c: f64,
    hidden_tube_shortest: f64,
    hidden_tube_longest: f64,
    hidden_limit_spread: f64,
    hidden_route_spread: f64,
    gradient_max_pa_m: f64,
    velocity_max_m_s: f64,
    bedroom_velocity_share: f64,
    unoccupied_velocity_factor: f64,
    erosion_velocity_m_s: f64,
    defrost_cools_k: f64,
    valve_open_below_pa: f64,
    valve_quiet_kpa: f64,
    left_open_warms_k: f64,
    left_open_warms_bathroom_k: f64,
    valve_position_beyond: f64,
    life_years: u32,
    electricity_per_kwh: f64,
    pump_running_h: f64,
    pump_efficiency: f64,
    estimated_run_bends: u32,
    estimated_run_spread: f64,
    narrow_plan_from: f64,
    old_system_drop_k: f64,
    old_radiator_w: f64,
    cement_screed_days: u32,
    calcium_sulphate_screed_days: u32,
    screed_rest_days: u32,
    separating_layer_laps: f64,
    heating_tax_rule: String,
    board_thinner_mm: f64,
    floor_build_tax_rule: String,
    quote_valid_days: u32,
    crew_people: u32,
    crew_hours_per_day_h: f64,
    materials_margin: f64,
    labour_margin: f64,
    paid_before_done_most_share: f64,
    paid_before_work_most_share: f64,
    outline_house_storeys: u32,
    outline_bedrooms_by_area: Steps<u32>,
    outline_utility_from_m2: f64,
    outline_hall_size: f64,
    outline_living_size: f64,
    outline_kitchen_size: f64,
    outline_utility_size: f64,
    outline_landing_size: f64,
    outline_bathroom_size: f64,
    outline_bedroom_size: f64,
    outline_study_size: f64,
    outline_lowest_storey_max: f64,
    outline_flat_shape: f64,
    outline_window_max: f64,
    outline_door_max: f64,
    outline_small_room_m2: f64,
    outline_cavity_from_year: u32,
    outline_double_glazing_from_year: u32,
    outline_coated_glazing_from_year: u32,
    outline_loft_by_year_mm: Steps<f64>,
    outline_floor_by_year_mm: Steps<f64>,
    outline_improved_before_year: u32,
    outline_improved_floor_mm: f64,
    outline_wall_mm: f64,
    outline_floor_insulation_w_mk: f64,
    outline_partition_w_m2k: f64,
    outline_inner_floor_w_m2k: f64,
    outline_sill_mm: f64,
    outline_outer_door_m: f64,
    outline_clear_wall: f64,
    outline_least_wall_m: f64,
    outline_wall_of_one_m: f64,
    outline_radiator_for_m2: f64,
    outline_flow_step_k: f64,
    outline_drop_step_k: f64,
    outline_drop_most_k: f64,
    outline_old_radiator_l: f64,
    outline_party_floor_w_m2k: f64,
    typology_house_storeys: f64,
}

impl Defaults {
    /// The shipped defaults; the first call reads the catalogue.
    ///
    /// # Errors
    /// As [`Catalogue::try_built_in`].
    ///
    /// # Examples
    /// ```
    /// use tundish_reading::catalogue::Defaults;
    /// let defaults = Defaults::try_built_in().unwrap();
    /// assert_eq!(defaults.written("velocity_max_m_s"), Some("1.0"));
    /// assert_eq!(defaults.pump_efficiency.told(), "our own choice");
    /// ```
    pub fn try_built_in() -> Result<Arc<Self>, CatalogueError> {
        Catalogue::try_built_in().map(|catalogue| catalogue.defaults.clone())
    }
}

/// The shipped defaults.
pub(super) fn read() -> Result<Defaults, CatalogueError> {
    Defaults::read_from(data_file!("defaults.csv"))
}

#[cfg(test)]
mod tests {
    use super::*;

    const FILE: DataFile = data_file!("defaults.csv");

    /// Reads the table with one line of it made into something else.
    fn with(key: &str, made: impl Fn(&str) -> String) -> Result<Defaults, CatalogueError> {
        let start = format!("{key},");
        let lines = FILE.text.lines().map(|line| if line.starts_with(&start) { made(line) } else { line.to_owned() });
        let text: String = lines.map(|line| line + "\n").collect();
        assert_ne!(text, FILE.text, "{key} has no row, or nothing became of it");
        Defaults::read_from(DataFile { name: FILE.name, text: text.leak() })
    }

    /// Line of the file, and what is told of it.
    fn refused(read: Result<Defaults, CatalogueError>) -> (u64, String) {
        match read.unwrap_err() {
            CatalogueError::Line { line, detail, .. } => (line, detail),
            CatalogueError::File { detail, .. } => (0, detail),
        }
    }

    /// Line on which a row of the shipped file stands.
    fn line_of(key: &str) -> u64 {
        let start = format!("{key},");
        1 + u64::try_from(FILE.text.lines().position(|line| line.starts_with(&start)).unwrap()).unwrap()
    }

    #[test]
    fn a_row_that_is_missing_or_doubled_or_unknown_is_refused() {
        let missing = with("tee_zeta", |_| "# taken out".to_owned());
        assert_eq!(refused(missing), (0, "tee_zeta has no row".to_owned()));
        let doubled = with("tee_zeta", |line| format!("{line}\n{line}"));
        assert_eq!(refused(doubled), (line_of("tee_zeta") + 1, "tee_zeta stands twice".to_owned()));
        let unknown = with("tee_zeta", |line| format!("{line}\nelbow_zeta,1,,a loss coefficient,somewhere,invented"));
        assert_eq!(refused(unknown), (line_of("tee_zeta") + 1, "no default is called elbow_zeta".to_owned()));
    }

    #[test]
    fn a_row_that_does_not_fit_is_refused_on_its_line() {
        let line = line_of("safety_valve_bar");
        for (written, instead, told) in [
            (",3,", ",three,", "safety_valve_bar cannot be three"),
            (",3,", ",NaN,", "safety_valve_bar is NaN, and a figure of this unit lies between 0 and 10"),
            (",3,", ",inf,", "safety_valve_bar is inf, and a figure of this unit lies between 0 and 10"),
            (",3,", ",30,", "safety_valve_bar is 30, and a figure of this unit lies between 0 and 10"),
            (",bar,", ",psi,", "psi is no unit of this table"),
            (",bar,", ",kPa,", "safety_valve_bar is in kPa and does not end in _kpa"),
            (",setting of the safety valve,", ",,", "safety_valve_bar needs a meaning and a source"),
            (",practice of the heating trade,", ",,", "safety_valve_bar needs a meaning and a source"),
        ] {
            let read = with("safety_valve_bar", |line| line.replace(written, instead));
            assert_eq!(refused(read), (line, told.to_owned()));
        }
        let read = with("safety_valve_bar", |line| line.replace("common practice", "certain"));
        assert_eq!(refused(read).0, line);
        let read = with("screed_binder", |line| line.replace("cement", "glue"));
        assert_eq!(refused(read), (line_of("screed_binder"), "screed_binder cannot be glue".to_owned()));
        let read = with("outline_floor_by_year_mm", |line| line.replace("1996", "2005"));
        assert_eq!(refused(read).0, line_of("outline_floor_by_year_mm"));
    }

    #[test]
    fn what_was_not_read_in_its_source_says_so() {
        let defaults = read().unwrap();
        assert_eq!(defaults.edge_zone_max_m.told(), "EN 1264-2; from memory, confirm");
        assert_eq!(defaults.cooling_inside_c.told(), "common practice");
        assert_eq!(defaults.chimney_m3_h.told(), "SAP 2012");
    }
}
