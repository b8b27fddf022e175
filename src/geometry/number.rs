//! The numbers that outlines are offset with.
//!
//! The library that offsets outlines takes any kind of number. This one is an `f64` whose sines and angles are those of
//! [`math`](super::math), so that a toolpath is the same on every machine.

use super::math;
use cavalier_contours::core::traits::{FuzzyEq, FuzzyOrd, Real};
use cavalier_contours::static_aabb2d_index::IndexableNum;
use num_traits::{Bounded, Num, NumCast, One, ToPrimitive, Zero, real};
use std::cmp::Ordering;
use std::ops::{Add, Div, Mul, Neg, Rem, Sub};

#[derive(Clone, Copy, Debug, Default, PartialEq, PartialOrd)]
pub(super) struct Number(pub f64);

macro_rules! operators {
    ($($trait:ident $name:ident $sign:tt;)*) => {$(
        impl $trait for Number {
            type Output = Number;
            fn $name(self, other: Number) -> Number {
                Number(self.0 $sign other.0)
            }
        }
    )*};
}

operators! { Add add +; Sub sub -; Mul mul *; Div div /; Rem rem %; }

impl Neg for Number {
    type Output = Number;
    fn neg(self) -> Number {
        Number(-self.0)
    }
}

impl Zero for Number {
    fn zero() -> Number {
        Number(0.0)
    }
    fn is_zero(&self) -> bool {
        self.0 == 0.0
    }
}

impl One for Number {
    fn one() -> Number {
        Number(1.0)
    }
}

impl Num for Number {
    type FromStrRadixErr = <f64 as Num>::FromStrRadixErr;
    fn from_str_radix(text: &str, radix: u32) -> Result<Number, Self::FromStrRadixErr> {
        f64::from_str_radix(text, radix).map(Number)
    }
}

impl ToPrimitive for Number {
    fn to_i64(&self) -> Option<i64> {
        self.0.to_i64()
    }
    fn to_u64(&self) -> Option<u64> {
        self.0.to_u64()
    }
    fn to_f64(&self) -> Option<f64> {
        Some(self.0)
    }
}

impl NumCast for Number {
    fn from<T: ToPrimitive>(other: T) -> Option<Number> {
        other.to_f64().map(Number)
    }
}

impl Bounded for Number {
    fn min_value() -> Number {
        Number(f64::MIN)
    }
    fn max_value() -> Number {
        Number(f64::MAX)
    }
}

impl FuzzyEq for Number {
    fn fuzzy_epsilon() -> Number {
        Number(f64::fuzzy_epsilon())
    }
    fn fuzzy_eq_eps(&self, other: Number, epsilon: Number) -> bool {
        self.0.fuzzy_eq_eps(other.0, epsilon.0)
    }
    fn fuzzy_eq_zero_eps(&self, epsilon: Number) -> bool {
        self.0.fuzzy_eq_zero_eps(epsilon.0)
    }
}

impl FuzzyOrd for Number {
    fn fuzzy_gt_eps(&self, other: Number, epsilon: Number) -> bool {
        self.0.fuzzy_gt_eps(other.0, epsilon.0)
    }
    fn fuzzy_lt_eps(&self, other: Number, epsilon: Number) -> bool {
        self.0.fuzzy_lt_eps(other.0, epsilon.0)
    }
}

impl IndexableNum for Number {
    fn total_cmp(&self, other: &Number) -> Ordering {
        self.0.total_cmp(&other.0)
    }
}

impl Real for Number {}

/// Functions of one number, and of a number and another.
macro_rules! functions {
    ($($one:ident)*; $($two:ident)*; $($many:tt)*) => {
        impl real::Real for Number {
            $(fn $one(self) -> Number {
                Number(functions::$one(self.0))
            })*
            $(fn $two(self, other: Number) -> Number {
                Number(functions::$two(self.0, other.0))
            })*
            $($many)*
        }
    };
}

/// What IEEE 754 leaves no choice about from the processor, the rest from where it is the same on every machine.
mod functions {
    use std::primitive::f64 as own;

    pub(super) use super::math::*;
    pub(super) use libm::{
        acosh, asinh, atanh, cosh, exp, exp2, expm1 as exp_m1, log as ln, log1p as ln_1p, pow as powf, sinh, tanh,
    };

    macro_rules! from_the_processor {
        ($($name:ident($($argument:ident),*))*) => {
            $(pub(super) fn $name($($argument: f64),*) -> f64 {
                own::$name($($argument),*)
            })*
        };
    }

    from_the_processor! {
        floor(a) ceil(a) round(a) trunc(a) fract(a) abs(a) signum(a) recip(a) sqrt(a) to_degrees(a) to_radians(a)
        max(a, b) min(a, b)
    }

    pub(super) fn log(a: f64, base: f64) -> f64 {
        ln(a) / ln(base)
    }

    pub(super) fn abs_sub(a: f64, b: f64) -> f64 {
        max(a - b, 0.0)
    }
}

functions! {
    floor ceil round trunc fract abs signum recip sqrt to_degrees to_radians
    exp exp2 ln log2 log10 cbrt sin cos tan asin acos atan exp_m1 ln_1p sinh cosh tanh asinh acosh atanh;
    powf log max min abs_sub hypot atan2;

    fn min_value() -> Number {
        Number(f64::MIN)
    }
    fn min_positive_value() -> Number {
        Number(f64::MIN_POSITIVE)
    }
    fn epsilon() -> Number {
        Number(f64::EPSILON)
    }
    fn max_value() -> Number {
        Number(f64::MAX)
    }
    fn is_sign_positive(self) -> bool {
        self.0.is_sign_positive()
    }
    fn is_sign_negative(self) -> bool {
        self.0.is_sign_negative()
    }
    fn mul_add(self, a: Number, b: Number) -> Number {
        Number(libm::fma(self.0, a.0, b.0))
    }
    fn powi(self, power: i32) -> Number {
        Number(math::pow(self.0, power.into()))
    }
    fn sin_cos(self) -> (Number, Number) {
        let (sin, cos) = math::sin_cos(self.0);
        (Number(sin), Number(cos))
    }
}
