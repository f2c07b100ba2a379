// The help with species that are told apart by their spines: what to count, and the count.

import { byId, choose, chosen, fillChoices, make } from "./dom.js";

// `form`: `spines` and `told_by` are its fields, `species` its row; `changed` after a choice.
export function makeSpinesHelp({ lake, field, species, changed }) {
  const id = (place) => `helper-${place}`;
  let groups = [];

  function fill() {
    groups = lake().groups.filter((group) => lake().species.filter((one) => one.group === group.name).length > 1);
    byId("helpers").replaceChildren(...groups.map(dialog));
    for (const [place, group] of groups.entries()) {
      const words = groups.length === 1 ? "Spines?" : `${group.name}?`;
      const attributes = { popovertarget: id(place), "aria-haspopup": "dialog" };
      species.append(make("button", { type: "button", className: "button button-quiet", dataset: { words }, attributes }, words));
    }
  }

  const kindsOf = (group) => lake().species.filter((one) => one.group === group.name);
  const counted = (group) => kindsOf(group).filter((one) => one.spines_most);

  function dialog(group, place) {
    const counts = counted(group).length > 0;
    const node = make(
      "div",
      { className: "rise", id: id(place), attributes: { popover: "", role: "dialog", "aria-labelledby": `${id(place)}-head` } },
      make("h2", { id: `${id(place)}-head` }, group.heading),
      make("p", {}, group.words),
      ...(counts ? [picture(), countRow(group)] : []),
      make("p", { className: "fits", attributes: { role: "status" } }),
      kindRow(group),
      group.caution ? make("p", { className: "soft" }, group.caution) : null,
      make("div", { className: "buttons" }, make("button", { type: "button", className: "button", attributes: { popovertarget: id(place), popovertargetaction: "hide" } }, "Back to the form")),
    );
    node.addEventListener("beforetoggle", () => show(group, node));
    return node;
  }

  const picture = () => byId("spines-picture").content.firstElementChild.cloneNode(true);

  function countRow(group) {
    const ends = counted(group).flatMap((one) => [one.spines_least, one.spines_most]);
    const [least, most] = [Math.max(1, Math.min(...ends) - 1), Math.max(...ends) + 1];
    const options = Array.from({ length: most - least + 1 }, (_, by) => ({ code: String(least + by), name: String(least + by) }));
    return choiceOf("Spines counted", "choice-counts", "counted", options, (code, node) => {
      field.spines.value = code;
      if (!field.told_by.value) field.told_by.value = "spines";
      changed();
      show(group, node.closest("[popover]"));
    });
  }

  function kindRow(group) {
    const kinds = kindsOf(group);
    const set = choiceOf("Species", "choice-kinds", "kind", kinds, (code, node) => {
      choose(species, code);
      changed();
      node.closest("[popover]").hidePopover();
    });
    for (const [place, face] of set.querySelectorAll(".choice-face").entries()) face.replaceChildren(...marksOf(kinds[place]));
    return set;
  }

  function marksOf(one) {
    const range = one.kind === "species" && one.spines_most ? `${one.spines_least} to ${one.spines_most} spines` : "";
    return [make("strong", {}, one.name), ...[range, one.marks].filter(Boolean).map((words) => make("span", {}, words))];
  }

  function choiceOf(words, look, name, options, work) {
    const row = make("div", { className: `choice-row ${look}` });
    fillChoices(row, name, options, "");
    row.addEventListener("change", () => work(chosen(row), row));
    return make("fieldset", { className: "choice" }, make("legend", {}, words), row);
  }

  // The count and the species as the form has them by now; it suggests and does not decide.
  function show(group, node) {
    const count = field.spines.value;
    for (const row of node.querySelectorAll(".choice-counts")) choose(row, count);
    choose(node.querySelector(".choice-kinds"), chosen(species));
    node.querySelector(".fits").textContent = fitting(group, count);
  }

  function fitting(group, count) {
    if (counted(group).length === 0) return "";
    if (!/^[0-9]+$/.test(count)) return "No count yet.";
    const fits = counted(group).filter((one) => one.kind === "species" && one.spines_least <= count && count <= one.spines_most);
    if (fits.length === 0) return `${count} spines fit neither. Count again.`;
    return `${count} spines fit ${fits.map((one) => one.name).join(" and ")}.`;
  }

  return {
    fill,
    // The button says the count that is kept with the fish.
    showCount() {
      for (const [place, button] of species.querySelectorAll("button").entries()) {
        const kept = field.spines.value && counted(groups[place]).length > 0;
        button.textContent = kept ? `Spines: ${field.spines.value}` : button.dataset.words;
      }
    },
  };
}
