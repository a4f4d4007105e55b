//! Warnings that hold for every ignition system, in the words that window, command line and printed sheet
//! share.

/// In one line.
pub const SHORT: &str = "Ignition voltage can kill, and engines start without warning. These numbers are estimates until proved \
     with a timing light and under load with knock detection, by someone qualified.";

/// In full, one paragraph for each.
pub const WHOLE: [&str; 6] = [
    "Ignition systems carry lethal voltages. Switch off before connecting or disconnecting; never touch or pull leads \
     while the engine is cranked or runs; never fire a coil with its lead open.",
    "A cranking or running engine moves belts and fans without warning: keep hands, hair and clothes clear.",
    "Fuel vapour burns: extinguisher at hand. Exhaust kills indoors: work outside or with extraction.",
    "Too much advance, or a wrong zero offset, breaks pistons without warning. At the first knock go back.",
    "The numbers here are estimates until verified with a timing light, and under load with knock detection, by \
     someone qualified.",
    "Road-going vehicles: emissions and modification law of the place applies. Follow local codes and the maker's \
     instructions, and leave to licensed practice what belongs there.",
];

/// For finding top dead centre with a piston stop.
pub const TRUE_TDC: &str = "Battery off, plugs out, and turn by hand, never with the starter: a piston that is driven against the \
     stop breaks it, and the engine with it.";

/// Before the engine is cranked for the first time.
pub const FIRST_START: &str = "A cranked engine moves belts and fans, and its coils can kill: hands, hair, light and leads clear, \
     gearbox in neutral. Never fire a coil with its lead open. Plug holes blow fuel vapour: keep every spark away from them.";

/// For working beside a running engine with a timing light.
pub const TIMING_LIGHT: &str = "Ignition voltage can kill, and a running engine moves belts and fans: keep light, leads, sleeves \
     and hair clear, and switch off before connecting anything. Work in fresh air. A wrong zero offset breaks pistons: prove \
     the timing mark first (true TDC), lock the timing, and read again after every change. Flash the real map again before \
     driving.";

/// For reading torque over advance on a brake.
pub const SWEEP: &str = "Knock breaks pistons: listen at every step, and at the first knock go back, not on. Retard heats the \
     exhaust, and a brake at full load needs someone at the switch. Work in fresh air, clear of belts, fans and leads.";
