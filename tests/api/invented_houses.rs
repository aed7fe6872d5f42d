//! The four invented houses differ in people, hot water and crew, and what hangs on these is reckoned by hand.

use super::figures::number;
use super::helpers::{close, fixture, shared_service};

struct House {
    name: &'static str,
    people: u32,
    /// Hot water of a day at 60 °C (l): people times litres.
    demand_l: f64,
    /// The same at the storage temperature: times 50 K over the storage temperature less 10 °C.
    stored_l: f64,
    cylinder: &'static str,
    /// Demand times 58.15 Wh/l (1.163 Wh/(lK) over 50 K), times the loss factor.
    hot_water_kwh: f64,
    flow_c: f64,
    crew: (u32, f64),
}

/// By hand, in this order: 5 x 45 l, x 50/40, x 0.05815 x 1.2; three bedrooms make 4 people, 4 x 35, x 50/40, x 0.05815 x 1.15;
/// 6 x 34, x 50/42, the same; 7 x 30, x 50/39, x 0.05815 x 1.2.
const HOUSES: [House; 4] = [
    House {
        name: "chapel",
        people: 5,
        demand_l: 225.0,
        stored_l: 281.25,
        cylinder: "cyl_300",
        hot_water_kwh: 15.7005,
        flow_c: 55.0,
        crew: (3, 7.5),
    },
    House {
        name: "terrace",
        people: 4,
        demand_l: 140.0,
        stored_l: 175.0,
        cylinder: "cyl_180",
        hot_water_kwh: 9.36215,
        flow_c: 53.0,
        crew: (2, 8.0),
    },
    House {
        name: "bungalow",
        people: 6,
        demand_l: 204.0,
        stored_l: 242.8571,
        cylinder: "cyl_250",
        hot_water_kwh: 13.64199,
        flow_c: 54.0,
        crew: (4, 8.0),
    },
    House {
        name: "farmhouse",
        people: 7,
        demand_l: 210.0,
        stored_l: 269.2308,
        cylinder: "cyl_300",
        hot_water_kwh: 14.6538,
        flow_c: 52.0,
        crew: (1, 9.0),
    },
];

#[tokio::test]
async fn people_hot_water_and_crew_make_what_hangs_on_them() {
    for house in HOUSES {
        let answer = shared_service().answer("/v1/proposal", &fixture(house.name)).await;
        let (plant, name) = (&answer["plant"], house.name);
        assert_eq!(plant["heat_source"]["people"], house.people, "{name}");
        close(&plant["heat_source"]["demand_at_60_l"], house.demand_l, 1e-6);
        close(&plant["heat_source"]["hot_water_kwh"], house.hot_water_kwh, 1e-4);
        close(&plant["cylinder"]["needed_l"], house.stored_l, 1e-6);
        assert_eq!(plant["cylinder"]["product"], house.cylinder, "{name}");
        let heating_c = number(&answer["emitters"]["flow_temperature_c"]);
        close(&plant["expansion_vessel"]["highest_temperature_c"], house.flow_c.max(heating_c), 1e-9);
        let (people, day_h) = house.crew;
        // another trade lays the screed
        let visits = answer["programme"]["visits"].as_array().unwrap().iter();
        for visit in visits.filter(|visit| visit["visit"] != "screed") {
            let days = (number(&visit["labour_h"]) / (f64::from(people) * day_h)).ceil();
            assert_eq!((&visit["people"], number(&visit["days"])), (&people.into(), days), "{name}: {visit}");
        }
    }
}
