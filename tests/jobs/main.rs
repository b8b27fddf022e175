//! Whole jobs, end to end, and the command line.

#[path = "../shared/mod.rs"]
mod shared;

#[path = "../shared/any_job/mod.rs"]
mod drawn;

mod accepted;
mod any_box;
mod any_job;
mod as_drawn;
mod assemblies;
mod at_the_wall;
mod bad_inputs;
mod bad_specs;
mod boards;
mod broken;
mod cannot_cut;
mod choices;
mod command_line;
mod costs;
mod cut_outs;
mod cut_up;
mod drawings;
mod elevations;
mod faults;
mod figures;
mod free_cuts;
mod hold_down;
mod holes;
mod inert;
mod keep_out;
mod labels;
mod layouts;
mod machines;
mod offcuts;
mod order_of_cuts;
mod outlines;
mod own_figures;
mod own_kind;
mod page;
mod pages;
mod panel_stock;
mod patterns;
mod planned;
mod proofs;
mod quoted;
mod readable;
mod refusals;
mod remembers;
mod rooms;
mod rough;
mod routing;
mod sample_cuts;
mod samples;
mod saw;
mod saw_trees;
mod screws;
mod small_jobs;
mod solid_wood;
mod steps;
mod templates;
mod tight;
mod tools;
mod true_shapes;
mod two_sided;
mod yields;
