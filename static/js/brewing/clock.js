// How a moment is written: minutes and seconds, as on the printed card.

export function clock(seconds) {
  const whole = Math.max(Math.floor(seconds + 0.001), 0);
  return `${Math.floor(whole / 60)}:${String(whole % 60).padStart(2, "0")}`;
}

export function span(start, end) {
  return clock(start) === clock(end) ? clock(start) : `${clock(start)}\u2013${clock(end)}`;
}

/** Put values into a sentence of the server's: "in %(time)s". */
export function say(sentence, values) {
  return sentence.replace(/%\((\w+)\)s/g, (_, name) => values[name] ?? "");
}
