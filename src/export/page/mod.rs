//! The job page: one HTML file with all that a maker looks at. It needs no network and no other file to be read.
//!
//! What a page says in words is in its HTML, so that it reads, prints and speaks without a script; pictures that move are
//! drawn by the script from the data in the page. `template/` has a file per section, `style/` the looks, `script/` what
//! moves. Downloads are links to the files beside the page.

mod apart;
mod assembly;
mod download;
mod face;
mod finding;
mod left_over;
mod moves;
mod proof;
mod range;
mod saw;
mod scene;
mod seen;
mod sheet;
mod shell;
mod solid;
mod step;
mod tie;
mod view;

pub use seen::Seen;
pub use shell::policy;
pub use view::{Laid, View};

use super::json::JobFile;
use super::{Files, checksum};
use crate::error::Error;
use crate::made::Made;
use crate::words::counted;
use minijinja::syntax::SyntaxConfig;
use minijinja::value::{Serde, Value};
use minijinja::{AutoEscape, Environment, UndefinedBehavior, context};

/// The page's name in its folder.
pub(super) const NAME: &str = "job.html";

/// The sections, and the page around them.
const TEMPLATES: [(&str, &str); 14] = [
    ("page.html", include_str!("template/page.html")),
    ("marks.html", include_str!("template/marks.html")),
    ("shapes.html", include_str!("template/shapes.html")),
    ("box.html", include_str!("template/box.html")),
    ("cut-list.html", include_str!("template/cut-list.html")),
    ("sheets.html", include_str!("template/sheets.html")),
    ("checks.html", include_str!("template/checks.html")),
    ("holes.html", include_str!("template/holes.html")),
    ("programs.html", include_str!("template/programs.html")),
    ("proof.html", include_str!("template/proof.html")),
    ("saw.html", include_str!("template/saw.html")),
    ("assembly.html", include_str!("template/assembly.html")),
    ("cost.html", include_str!("template/cost.html")),
    ("files.html", include_str!("template/files.html")),
];

/// The page of a job. `record` is `job.json` before the list of files, which the page is itself in; `files` are those
/// that will lie beside it.
///
/// # Errors
/// [`Error::Fault`] when a template does not fit its values.
pub(super) fn job_page(made: &Made, record: &JobFile, files: &Files) -> Result<String, Error> {
    let fault = |why: &dyn std::fmt::Display| Error::Fault(format!("{NAME}: {why}"));
    let job_json = serde_json::to_string(record).map_err(|why| fault(&why))?;
    // What the reader ticks off is kept under this key: another job, or this one changed, starts with clean boxes.
    let key = format!("{:08x}", checksum(job_json.as_bytes()));
    let scene_json = serde_json::to_string(&scene::Scene::new(made, key)).map_err(|why| fault(&why))?;
    // What the script needs of the record; the words of the rest are in the page itself, and all of it is in the file beside.
    let data_json = serde_json::to_string(&record.for_script()).map_err(|why| fault(&why))?;
    let view = view::View::new(made, files);
    let page = environment(made)
        .and_then(|environment| {
            environment.get_template("page.html")?.render(context! {
                job => Value::from(Serde(record)),
                view => Value::from(Serde(&view)),
                policy => shell::policy(),
                style => Value::from_safe_string(shell::STYLE.into()),
                script => Value::from_safe_string(shell::SCRIPT.into()),
                job_json => Value::from_safe_string(shell::inert(&data_json)),
                scene_json => Value::from_safe_string(shell::inert(&scene_json)),
            })
        })
        .map_err(|why| fault(&whole(&why)))?;
    Ok(tie::page_tied(&page))
}

/// An error with what caused it, down to the first cause.
fn whole(why: &dyn std::error::Error) -> String {
    why.source().map_or_else(|| why.to_string(), |cause| format!("{why}: {}", whole(cause)))
}

/// The templates, with filters that show a length as the job does.
fn environment(made: &Made) -> Result<Environment<'static>, minijinja::Error> {
    let units = made.job.units;
    let mut environment = Environment::new();
    environment.set_auto_escape_callback(|_| AutoEscape::Html);
    environment.set_undefined_behavior(UndefinedBehavior::Strict);
    environment.set_syntax(SyntaxConfig::builder().trim_blocks(true).lstrip_blocks(true).build()?);
    environment.add_filter("shown", move |mm: f64| units.show(mm));
    environment.add_filter("number", move |mm: f64| units.number(mm));
    environment.add_filter("counted", |count: usize, one: String| counted(count, &one));
    for (name, text) in TEMPLATES {
        environment.add_template(name, text)?;
    }
    Ok(environment)
}
