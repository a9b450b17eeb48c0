/* What the meter shows: the same model as circuit/meter.py, with the numbers that come with the data. */
const makeMeter = (data, circuit) => {
  const M = data.meter, dead = (quantity) => quantity === "ohms" || quantity === "beep";
  /* a test lamp loads the circuit, and its resistance follows its volts */
  const hot = data.nominal ** 2 / Math.max(M.lamp_w, 0.1), straight = new Set(M.straight);
  const lampOhm = (volts) => volts === 0 ? hot * data.constants.cold_ratio : volts / circuit.filament(volts, hot, data.nominal)[0];
  const lamp = (open, source) => {
    let volts = open * 0.5;
    for (let turn = 0; turn < 40; turn += 1) { const ohm = lampOhm(volts); volts = 0.5 * volts + 0.5 * open * ohm / (ohm + source); }
    return volts;
  };
  /* behind a load the two are in series: a bulb warms with the test lamp, and takes volts that it did not cold */
  const warm = (machine, setting, red, black, open, cold) => {
    const lost = Math.abs(open) - Math.abs(cold);
    if ((straight.has(red) && black < 0) || Math.abs(open) <= M.lamp_out * data.nominal || lost <= 0.01 * Math.abs(open)) { return cold; }
    let ohm = lampOhm(cold), found = cold;
    for (let turn = 0; turn < 12; turn += 1) {
      found = machine.held(setting, red, black, ohm);
      const before = ohm;
      ohm = Math.sqrt(ohm * lampOhm(found));
      if (Math.abs(ohm / before - 1) < 0.01) { break; }
    }
    return found;
  };
  const steady = (machine, setting, quantity, red, black) => {
    if (dead(quantity)) { const ohm = machine.ohms(setting, red, black) + M.lead_ohm; return ohm > M.top_ohm ? Infinity : ohm; }
    const regime = quantity === "ac" ? "ac" : "dc", open = machine.volts(regime, setting, red, black), source = machine.source(regime, setting, red, black);
    return quantity === "lamp" ? warm(machine, setting, red, black, open, lamp(open, source)) : open * M.input_ohm / (M.input_ohm + source);
  };
  /** What the display stands at: ohm (Infinity for over-range) or volt; for the lamp the volts across it. What a contact
      breaker opens and closes while the engine turns shows as its mean. */
  const value = (machine, setting, quantity, red, black) => {
    if (setting.engine === "still" || !M.breakers.length || dead(quantity) || quantity === "ac") { return steady(machine, setting, quantity, red, black); }
    const at = (which) => steady(machine, { ...setting, positions: { ...setting.positions, ...Object.fromEntries(M.breakers.map((b) => [b.id, b[which]])) } }, quantity, red, black);
    return M.dwell * at("closed") + (1 - M.dwell) * at("open");
  };
  /** What beeper and lamp say; "" of anything that shows a figure. */
  const word = (quantity, shown) => {
    if (quantity === "beep") { return shown < M.beeper_ohm ? "beeps" : "silent"; }
    if (quantity !== "lamp") { return ""; }
    const share = Math.abs(shown) / data.nominal;
    return share > M.lamp_bright ? "bright" : share < M.lamp_out ? "out" : "dim";
  };
  /** Whether meters differ about a beep. */
  const disputed = (shown) => shown >= M.beeper_least_ohm && shown < M.beeper_most_ohm;
  const scaled = (quantity, shown) => dead(quantity) ? Math.log10(Math.min(shown, 1.5 * M.top_ohm) + M.knee_ohm) : shown;
  /** Whether a display that goes from one value to another is seen to jump. */
  const jumps = (quantity, one, two) => Math.abs(scaled(quantity, one) - scaled(quantity, two)) > M.flickers_by;
  return { value, word, disputed, jumps, dead };
};
