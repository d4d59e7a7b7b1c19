//! Two engines, same or different.

#![allow(
    clippy::unwrap_used,
    clippy::expect_used,
    reason = "a test that meets an error has failed"
)]

mod support;

#[test]
fn look() {
    let pair = std::env::var("PAIR").unwrap_or("rowan ash".into());
    let names: Vec<_> = pair.split(' ').collect();
    let (a, b) = (support::engine(names[0]), support::engine(names[1]));
    println!("{}", support::shown(&support::likeness(&a, &b)));
}
#[test]
fn events() {
    let a = support::engine("ash");
    for s in &a.run.line {
        println!("{:?} {}", a.run.steps[*s].events, a.run.steps[*s].why);
    }
}
