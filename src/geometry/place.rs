//! Where a flat panel stands in space.

use super::{Affine, Point};
use glam::DVec3;

/// A rigid placement of a flat frame (u to the right, v up, w towards the viewer) in space.
///
/// The third axis is always `u × v`, so a placement can turn and move a panel but never mirror it.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Place {
    pub origin: DVec3,
    pub u: DVec3,
    pub v: DVec3,
}

impl Place {
    /// A placement from its origin and two unit vectors at right angles.
    pub fn new(origin: DVec3, u: DVec3, v: DVec3) -> Place {
        debug_assert!(u.dot(v).abs() < 1e-9 && (u.length() - 1.0).abs() < 1e-9 && (v.length() - 1.0).abs() < 1e-9);
        Place { origin, u, v }
    }

    /// The flat frame's third axis: out of the panel's show face.
    pub fn normal(&self) -> DVec3 {
        self.u.cross(self.v)
    }

    /// From the flat frame into space; `w` is height above the show face, negative into the material.
    pub fn to_space(&self, at: Point, w: f64) -> DVec3 {
        self.origin + self.u * at.x + self.v * at.y + self.normal() * w
    }

    /// From space into the flat frame: position, and height above the show face.
    pub fn to_flat(&self, at: DVec3) -> (Point, f64) {
        let arm = at - self.origin;
        (Point::new(arm.dot(self.u), arm.dot(self.v)), arm.dot(self.normal()))
    }

    /// How this flat frame's positions read in `other`'s, for two frames whose planes are parallel.
    pub fn into_flat_of(&self, other: &Place) -> Affine {
        let (origin, _) = other.to_flat(self.origin);
        Affine::new([
            self.u.dot(other.u),
            self.u.dot(other.v),
            self.v.dot(other.u),
            self.v.dot(other.v),
            origin.x,
            origin.y,
        ])
    }

    /// The same placement moved along.
    pub fn moved(&self, by: DVec3) -> Place {
        Place { origin: self.origin + by, ..*self }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn there_and_back() {
        let place = Place::new(DVec3::new(1.0, 2.0, 3.0), DVec3::NEG_Y, DVec3::Z);
        assert_eq!(place.normal(), DVec3::NEG_X);
        let (flat, w) = place.to_flat(place.to_space(Point::new(7.0, 9.0), -4.0));
        assert!(flat.distance(Point::new(7.0, 9.0)) < 1e-12 && (w + 4.0).abs() < 1e-12);
    }
}
