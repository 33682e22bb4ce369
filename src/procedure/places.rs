//! Names of the places where the values of a series are taken.

/// Places that are counted: "rod 1", "rod 2" ….
#[must_use]
pub fn counted(name: &str, count: u32) -> Vec<String> {
    (1..=count).map(|n| format!("{name} {n}")).collect()
}

/// Each of these places in two directions, a quarter turn apart: "far end x", "far end y" ….
#[must_use]
pub fn two_ways<S: AsRef<str>>(places: impl IntoIterator<Item = S>) -> Vec<String> {
    places.into_iter().flat_map(|p| ["x", "y"].map(|way| format!("{} {way}", p.as_ref()))).collect()
}

/// Three places evenly round a circle of numbered holes or rods; only counted where there are fewer than three.
#[must_use]
pub fn thirds(name: &str, holes: u32) -> Vec<String> {
    let nth = |k| format!("{name} {}", 1 + k * holes / 3);
    if holes < 3 { counted("place", 3) } else { (0..3).map(nth).collect() }
}
