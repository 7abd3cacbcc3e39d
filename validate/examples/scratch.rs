use engine::network::*;
use validate::speed::*;
fn main() {
    let a: Vec<String> = std::env::args().collect();
    let level = match a[1].as_str() { "plain" => Level::Plain, "v3" => Level::X86V3, _ => Level::X86V4 };
    let zones: usize = a[2].parse().unwrap();
    let batch = a[3] == "batch";
    let fine = a[4] == "fine";
    let rounds: usize = a[5].parse().unwrap();
    let t = time_series(level, zones, batch, fine, rounds);
    println!("{a:?} {:.3} us, {:.3} its, {:.3} us/it", t.us, t.iterations, t.us / t.iterations);
}
