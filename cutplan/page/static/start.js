// The choice of beginnings.

import { get, post, send } from "/files/api.js";
import { button, fill, fresh, h, tell } from "/files/dom.js";
import { picturesSection } from "/files/start_pictures.js";
import { set } from "/files/store.js";
import { t } from "/files/words.js";

export async function startPage(root) {
  document.title = "cutplan";
  const choice = await get("/api/start");
  const name = h("input", { id: fresh("f"), type: "text", class: "wide", autocomplete: "off", maxlength: "100", placeholder: t("such as: mount plate, rear crossmember") });
  const units = h("select", { id: fresh("f") }, h("option", { value: "mm" }, t("millimetres")), h("option", { value: "in" }, t("inches")));
  const thick = (key) => h("input", { id: fresh("f"), type: "text", class: "short", autocomplete: "off", maxlength: "20", "data-key": key });
  const plate = thick("start-plate"), skin = thick("start-skin");
  const file = h("input", { type: "file", accept: ".dxf,.svg", class: "file", id: fresh("f"), onchange: () => file.files[0] && upload(file.files[0]) });
  const needed = () => {
    if (name.value.trim()) return true;
    tell(t("Give the job a name first."), true);
    name.focus();
    return false;
  };
  // what the depth of tools, the heat and the weld rest on is measured, never taken for granted
  const measured = () => {
    const open = [plate, skin].find((field) => !field.value.trim());
    if (!open) return true;
    tell(t("Measure the thickness of the plate and of the skin first: calipers at a drain hole or an edge."), true);
    open.focus();
    return false;
  };
  const facts = () => ({ title: name.value, units: units.value, plate: plate.value, skin: skin.value });
  const run = async (work) => { try { const made = await work(); tell(""); set(made); } catch (fault) { tell(fault.text || t("The program does not answer."), true); } };
  const begin = (kind) => needed() && measured() && run(() => post("/api/begin", { kind, ...facts() }));
  const upload = (f) => { if (measured()) run(() => send("/api/begin/drawing", f, facts())); else file.value = ""; };
  const drop = h("label", { class: "card drop", for: file.id, ondragover: (e) => { e.preventDefault(); drop.classList.add("over"); }, ondragleave: () => drop.classList.remove("over"),
    ondrop: (e) => { e.preventDefault(); drop.classList.remove("over"); if (e.dataTransfer.files[0]) upload(e.dataTransfer.files[0]); } },
  h("strong", {}, t("From a drawing")), h("span", {}, t("Choose a DXF or SVG file, or drop it here.")), file);
  const short = (control, label) => h("div", { class: "field" }, h("label", { for: control.id }, label), h("span", { class: "control" }, control));
  const pictures = h("div", {});
  const open = () => { fill(pictures, picturesSection(facts, () => needed() && measured())); pictures.scrollIntoView({ block: "start" }); };
  const card = (title, words, act) => h("button", { type: "button", class: "card", onclick: act }, h("strong", {}, title), h("span", {}, words));
  fill(root, h("main", { class: "start" }, h("h1", {}, t("What is to be made?")),
    h("p", { class: "caution" }, t("Structural work on a vehicle can kill. Follow your local rules, the vehicle maker and licensed practice.")),
    h("section", { "aria-label": t("Begin a job") }, h("div", { class: "field" }, h("label", { for: name.id }, t("Name of the job")), h("span", { class: "control" }, name)),
      h("div", { class: "facts" }, short(units, t("You measure in")), short(plate, t("Thickness of the plate")), short(skin, t("Thickness of the skin, measured"))),
      h("div", { class: "cards" }, card(t("From tape readings"), t("Corners and holes taped on the vehicle."), () => begin("tape")), drop,
        card(t("From photographs or a scan"), t("A cardboard template with printed marks round it."), open),
        card(t("From a basic shape"), t("A rectangle, a round plate, or corners typed in."), () => begin("shape")))),
    pictures,
    choice.jobs.length ? h("section", {}, h("h2", {}, t("Go on with")), h("ul", { class: "jobs" }, choice.jobs.map((j) => h("li", {}, button(j.title, () => run(() => post("/api/open", { folder: j.folder }))), h("span", {}, j.folder))))) : null,
    h("section", {}, h("h2", {}, t("Look at a sample")), h("ul", { class: "jobs samples" }, choice.samples.map((s) => h("li", {}, button(s, () => run(() => post("/api/begin", { kind: "sample", name: s }))))))),
    h("p", { class: "hint" }, t("Jobs are kept in {folder}.", { folder: choice.room }))));
}
