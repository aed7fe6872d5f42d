//! Coefficients of the properties of water, as the formulations print them.

/// One term of the dimensionless Gibbs energy of IAPWS-IF97, region 1.
#[derive(Debug, Clone, Copy)]
pub(super) struct GibbsTerm {
    /// Exponent of the pressure term, I.
    pub pressure: i32,
    /// Exponent of the temperature term, J.
    pub temperature: i32,
    /// Factor, n.
    pub factor: f64,
}

/// Short form of a line of the table.
const fn term(pressure: i32, temperature: i32, factor: f64) -> GibbsTerm {
    GibbsTerm { pressure, temperature, factor }
}

/// IAPWS-IF97, region 1, table 2.
pub(super) const REGION_1: [GibbsTerm; 34] = [
    term(0, -2, 0.146_329_712_131_67),
    term(0, -1, -0.845_481_871_691_14),
    term(0, 0, -3.756_360_367_204_0),
    term(0, 1, 3.385_516_916_838_5),
    term(0, 2, -0.957_919_633_878_72),
    term(0, 3, 0.157_720_385_132_28),
    term(0, 4, -1.661_641_719_950_1e-2),
    term(0, 5, 8.121_462_998_356_8e-4),
    term(1, -9, 2.831_908_012_380_4e-4),
    term(1, -7, -6.070_630_156_587_4e-4),
    term(1, -1, -1.899_006_821_841_9e-2),
    term(1, 0, -3.252_974_877_050_5e-2),
    term(1, 1, -2.184_171_717_541_4e-2),
    term(1, 3, -5.283_835_796_993_0e-5),
    term(2, -3, -4.718_432_107_326_7e-4),
    term(2, 0, -3.000_178_079_302_6e-4),
    term(2, 1, 4.766_139_390_698_7e-5),
    term(2, 3, -4.414_184_533_084_6e-6),
    term(2, 17, -7.269_499_629_759_4e-16),
    term(3, -4, -3.167_964_484_505_4e-5),
    term(3, 0, -2.827_079_798_531_2e-6),
    term(3, 6, -8.520_512_812_010_3e-10),
    term(4, -5, -2.242_528_190_800_0e-6),
    term(4, -2, -6.517_122_289_560_1e-7),
    term(4, 10, -1.434_172_993_792_4e-13),
    term(5, -8, -4.051_699_686_011_7e-7),
    term(8, -11, -1.273_430_174_164_1e-9),
    term(8, -6, -1.742_487_123_063_4e-10),
    term(21, -29, -6.876_213_129_553_1e-19),
    term(23, -31, 1.447_830_782_852_1e-20),
    term(29, -38, 2.633_578_166_279_5e-23),
    term(30, -39, -1.194_762_264_007_1e-23),
    term(31, -40, 1.822_809_458_140_4e-24),
    term(32, -41, -9.353_708_729_245_8e-26),
];

/// IAPWS viscosity 2008, table 1: the dilute gas, by power of the inverse reduced temperature.
pub(super) const DILUTE_GAS: [f64; 4] = [1.677_52, 2.204_62, 0.636_656_4, -0.241_605];

/// IAPWS viscosity 2008, table 2: the finite density, one row to a power of (1/T̄ − 1), one column to a power of
/// (ρ̄ − 1).
pub(super) const FINITE_DENSITY: [[f64; 7]; 6] = [
    [0.520_094, 0.222_531, -0.281_378, 0.161_913, -0.032_537_2, 0.0, 0.0],
    [0.085_089_5, 0.999_115, -0.906_851, 0.257_399, 0.0, 0.0, 0.0],
    [-1.083_74, 1.887_97, -0.772_479, 0.0, 0.0, 0.0, 0.0],
    [-0.289_555, 1.266_13, -0.489_837, 0.0, 0.069_845_2, 0.0, -0.004_356_73],
    [0.0, 0.0, -0.257_040, 0.0, 0.0, 0.008_721_02, 0.0],
    [0.0, 0.120_573, 0.0, 0.0, 0.0, 0.0, -0.000_593_264],
];

/// IAPWS conductivity 2011, table 1: the dilute gas, by power of the inverse reduced temperature.
pub(super) const CONDUCTIVITY_DILUTE_GAS: [f64; 5] =
    [2.443_221e-3, 1.323_095e-2, 6.770_357e-3, -3.454_586e-3, 4.096_266e-4];

/// IAPWS conductivity 2011, table 2: the finite density, one row to a power of (1/T̄ − 1), one column to a power of
/// (ρ̄ − 1).
pub(super) const CONDUCTIVITY_FINITE_DENSITY: [[f64; 6]; 5] = [
    [1.603_973_57, -0.646_013_523, 0.111_443_906, 0.102_997_357, -0.050_412_363_4, 0.006_098_592_58],
    [2.337_718_42, -2.788_437_78, 1.536_161_67, -0.463_045_512, 0.083_282_701_9, -0.007_192_012_45],
    [2.196_505_29, -4.545_807_85, 3.557_772_44, -1.409_449_78, 0.275_418_278, -0.020_593_881_6],
    [-1.210_513_78, 1.608_129_89, -0.621_178_141, 0.071_637_322_4, 0.0, 0.0],
    [-2.720_337, 4.575_863_31, -3.183_692_45, 1.116_834_8, -0.192_683_05, 0.012_913_842],
];
