//! The tachometer signal.

use crate::project::Tachometer;

/// Frequency in Hz of the square wave at `speed_rpm`: speed/60 × pulses per crank revolution. 0 at standstill and when
/// it is not used.
///
/// An old instrument that was driven by the coil's peaks or by its current may not read a square wave.
pub fn tachometer_hz(tachometer: &Tachometer, speed_rpm: f64) -> f64 {
    if !tachometer.enabled {
        return 0.0;
    }
    speed_rpm.max(0.0) / 60.0 * tachometer.pulses_per_revolution
}

#[cfg(test)]
mod tests {
    use super::*;

    /// A four fires twice a revolution: 6000 rpm is 100 revolutions and 200 pulses a second.
    #[test]
    fn counts_the_pulses_of_a_second() {
        let tachometer = Tachometer { enabled: true, pulses_per_revolution: 2.0 };
        assert_eq!(tachometer_hz(&tachometer, 6000.0), 200.0);
        assert_eq!(tachometer_hz(&tachometer, -5.0), 0.0);
        assert_eq!(tachometer_hz(&Tachometer { enabled: false, ..tachometer }, 6000.0), 0.0);
    }
}
