//! What can hurt someone who builds and measures a panel. Shown by `predict`, in the report and in the README.

use panelwright_solver::listening::Findings;

/// The usual cautions, most urgent first.
pub const CAUTIONS: [&str; 7] = [
    "Hearing: sweeps and noise are louder than they seem. Start quietly, wear protection near the panel. At 85 dB(A) eight hours a day are the recommended limit, and every 3 dB more \
     halve the time (NIOSH, Criteria for a Recommended Standard: Occupational Noise Exposure, publication 98-126, 1998); employers in the EU must act from 80 dB(A) on (Directive 2003/10/EC).",
    "Heat: a coil at its rated power is hot enough to burn skin and to soften glue and foam. Keep steady tones and noise short, and stay below the part's rated power.",
    "Fire: foam panels (EPS, XPS) and paper burn easily and foam drips while it burns. Keep them away from heat sources; public rooms have rules on reaction to fire that you must meet.",
    "Glass and acrylic can break: use safety glass, smooth edges, and something that holds the pieces.",
    "Weight above heads: hang every panel by two independent fixings, each able to carry it alone, in a wall or ceiling that can bear it, and secure the exciters against falling.",
    "Mains: leave everything on the mains side of the amplifier to licensed people.",
    "This program predicts sound, not safety. Local codes and licensed practice come first.",
];

/// Cautions that follow from the numbers of this prediction.
pub fn of_findings(findings: &Findings) -> Vec<String> {
    let loud = findings.seats.iter().filter(|seat| seat.a_weighted >= 80.0);
    loud.map(|seat| {
        format!(
            "Loud at {}: pink noise at this drive reaches {:.0} dB(A) at this seat. From 80 dB(A) on, time matters: see the caution on hearing.",
            seat.name, seat.a_weighted
        )
    })
    .collect()
}
