//! Mathematical functions that give the same last digit on every machine.
//!
//! Sums, products and roots do so by themselves: IEEE 754 settles their last digit. Sines, angles and powers come from the
//! system's own library, and each system has another. Digits of a program hang on them, so they are taken from `libm`,
//! which is compiled with this one.

use super::{Affine, Vec2};

pub(crate) use libm::{acos, asin, atan, atan2, cbrt, cos, hypot, log2, log10, pow, sin, sincos as sin_cos, tan};

/// The angle of a vector, anticlockwise from the x axis, from −π to π.
pub(crate) fn angle_of(vector: Vec2) -> f64 {
    atan2(vector.y, vector.x)
}

/// The unit vector at an angle, anticlockwise from the x axis.
pub(crate) fn unit(angle: f64) -> Vec2 {
    let (sin, cos) = sin_cos(angle);
    Vec2::new(cos, sin)
}

/// A turn about the origin, anticlockwise.
pub(crate) fn rotation(angle: f64) -> Affine {
    let (sin, cos) = sin_cos(angle);
    Affine::new([cos, sin, -sin, cos, 0.0, 0.0])
}

/// Ten to a whole power: the nearest number there is to it, for powers from −22 to 22.
pub(crate) fn ten_to(power: i32) -> f64 {
    let whole = (0..power.abs()).fold(1.0, |product, _| product * 10.0);
    if power < 0 { 1.0 / whole } else { whole }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// What a decimal number is read as is the nearest number that there is to it.
    #[test]
    fn powers_of_ten_are_those_that_are_written() {
        for power in -22..=22 {
            assert_eq!(Ok(ten_to(power)), format!("1e{power}").parse(), "10 to {power}");
        }
    }

    /// By definition: the sine of 30° is a half, and the tangent of 45° one.
    #[test]
    fn angles_and_vectors_belong_together() {
        for degrees in -179..=180 {
            let turned = f64::from(degrees).to_radians();
            assert!((angle_of(unit(turned)) - turned).abs() < 1e-15 * 4.0, "{degrees}°");
            assert!(
                (rotation(turned) * Vec2::new(2.0, 0.0).to_point()).distance((unit(turned) * 2.0).to_point()) < 1e-15
            );
        }
        assert!((sin(30f64.to_radians()) - 0.5).abs() < 1e-15);
        assert!((tan(45f64.to_radians()) - 1.0).abs() < 1e-15);
    }
}
