/* Lists the papers and bases that fit the chosen cone, from what the page was sent with. */

const vessel = document.querySelector("#id_vessel[data-fits-papers]");
if (vessel) {
  const parts = [
    ["#id_paper", JSON.parse(vessel.dataset.fitsPapers)],
    ["#id_valve_base", JSON.parse(vessel.dataset.fitsBases)],
  ];
  vessel.addEventListener("change", () => parts.forEach(([id, fits]) => offer(document.querySelector(id), fits)));
}

function offer(list, fits) {
  const chosen = list.value;
  const [none] = list.options;
  const fitting = (fits[vessel.value] ?? []).map(([key, name]) => new Option(name, key));
  list.replaceChildren(none, ...fitting);
  list.value = fitting.some((option) => option.value === chosen) ? chosen : "";
}
