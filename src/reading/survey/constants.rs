//! Defaults that the stages take as constants. Each stands in the table too, which is what the survey reads; a test holds
//! that they are the same.

/// Between what the lowest flow temperature is sought where the job names no bounds (°C).
pub const FLOW_BOUNDS_C: (f64, f64) = (25.0, 55.0);

/// Distance at which the lines of floors lie side by side where they pass other rooms (m).
pub const LINES_APART_M: f64 = 0.1;

/// Surface limit under timber and laminate (°C).
pub const TIMBER_LIMIT_C: f64 = 27.0;

#[cfg(test)]
mod tests {
    use super::*;
    use crate::catalogue::Defaults;

    #[test]
    fn constants_are_those_of_the_table() {
        let defaults = Defaults::try_built_in().unwrap();
        assert_eq!((defaults.lowest_flow_from_c.value, defaults.lowest_flow_to_c.value), FLOW_BOUNDS_C);
        assert_eq!(defaults.lines_apart_mm.value / 1000.0, LINES_APART_M);
        assert_eq!(defaults.timber_surface_max_c.value, TIMBER_LIMIT_C);
    }
}
