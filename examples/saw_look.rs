use nestwright::*;
fn main() {
    let path = std::env::args().nth(1).unwrap();
    let text = std::fs::read_to_string(path).unwrap();
    let made = check(&reading::Source::new("j", text), &profile::Profiles::built_in(), &design::Kinds::built_in()).and_then(make).unwrap_or_else(|e| panic!("{e}"));
    for (i, s) in made.saw.steps.iter().enumerate() {
        println!("{:>3}/{} [{}{}] {}", i + 1, made.saw.length(), s.way.key(), s.setting.map(|n| format!(" S{}", n + 1)).unwrap_or_default(), saw::say::step(&made.job, &made.saw, s));
        for c in &s.cautions { println!("        ! {}", c.text(made.job.units)); }
    }
    for w in &made.saw.works { println!("    {}", saw::say::work(&made.job, &made.parts[w.part], w)); }
    for f in &made.saw.findings { println!("{} {} {:?} {}", f.subject, f.check, f.measured, f.advice); }
    println!("plain {:?}, ours {} cuts {} settings", saw::plain_order(&made.job, &made.parts, &made.patterns), made.saw.steps.len(), made.saw.settings.len());
}
