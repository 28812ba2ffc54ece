use super::*;
#[test]
fn look() {
    let bad = r#"title = ""
colour = "green"
[panel]
width = 760
height = "520 m"
thickness = "4 V"
material = "popler plywood"
grain = "horizantal"
edges = { left = "clamp" }
[[exciter]]
name = "one"
position = ["40 %", 210]
coil_resistance = "3,6 Ω"
force_factor = "3.2"
moving_mass = "-1.6 g"
foot_diameter = "25 MM"
suspension_stiffness = "0.1 mm/N"
gain = "3 dB"
mount = true
[seat]
in_front = "2 m"
[range]
from = "1 kHz"
to = "500 Hz"
"#;
    println!("{}", refused(bad));
    println!("{}", refused("[panel]\nwidth = 760 mm\nheight = 2\n[[exciter]\n"));
    println!("{}", refused(""));
}
