//! A finishing allowance where there is little room for it: specs that a random sweep found.

use crate::shared::make;

const STOCK: &str = r#"
title = "Finished"
[stock]
material = "softwood-plywood"
size = [2440, 1220]
thickness = 12.1
"#;

/// A slot of 8 mm leaves a cutter of 6 mm no room for 1 mm on either wall: it is made in one go, to its size.
#[test]
fn a_slot_too_narrow_for_the_allowance_is_cut_without() {
    let made = make(&format!(
        r#"{STOCK}
        [router]
        machine = "older-router"
        cutter = "endmill-6"
        finish = 1
        clearance = 2
        [[part]]
        name = "side"
        size = [300, 200]
        count = 1
        hole = [{{ use = "entrance", slot = [67, 8], across = 100, up = 60 }}]
        "#
    ));
    assert!(crate::shared::proved(&made.proof));
}

/// Square corners opened out of their sides: the rough pass, further from the walls, does not cut across a corner.
#[test]
fn a_rough_pass_into_a_relieved_corner_stays_off_the_other_wall() {
    for relief in ["wide", "deep", "diagonal"] {
        for finish in ["0.5", "1"] {
            let made = make(&format!(
                r#"{STOCK}
                [router]
                machine = "desktop-router"
                cutter = "endmill-6"
                cut = "conventional"
                finish = {finish}
                relief = "{relief}"
                [[box]]
                name = "roost"
                kind = "cavity-box"
                count = 1
                occupant = "bat"
                [[box]]
                name = "tray"
                kind = "open-box"
                count = 1
                inside = [200, 150, 80]
                corner = "finger"
                "#
            ));
            assert!(crate::shared::proved(&made.proof), "{relief} {finish}");
        }
    }
}

/// A recess hardly wider than the cutter, both ways, has no room for what a last pass would take.
#[test]
fn a_recess_as_small_as_the_cutter_is_cut_without_an_allowance() {
    for (size, finish, thickness) in
        [("[6.4, 6.4]", "0.3", "12.1"), ("[7, 7]", "1.5", "12.7"), ("[6.4, 60]", "0.3", "12.1")]
    {
        let made = make(
            &format!(
                r#"{STOCK}
            [router]
            machine = "older-router"
            cutter = "endmill-6"
            finish = {finish}
            [[part]]
            name = "board"
            size = [300, 200]
            pocket = [{{ face = "outer", purpose = "rest", size = {size}, depth = 5, across = 150, up = 100 }}]
            "#
            )
            .replace("thickness = 12.1", &format!("thickness = {thickness}")),
        );
        assert!(crate::shared::proved(&made.proof), "{size}");
    }
}
