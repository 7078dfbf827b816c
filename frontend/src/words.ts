/** Everything the page says, in one table, ready for translation. {x} is filled in. */

const EN = {
  "app.name": "Hillwright",
  "app.skip": "Skip to the hill",
  "app.home": "All hills",
  "app.loading": "Opening the hill …",
  "app.planning": "Working out: {stage}",
  "app.planned": "Worked out",
  "app.cancel": "Stop working this out",
  "app.slow": "This takes longer than usual. You can wait, stop it, or go on changing things.",
  "app.stopped": "Stopped. What you see is of an earlier state of the hill.",

  "save.saved": "Saved",
  "save.saving": "Saving …",
  "save.kept": "Hillwright is not answering. Changes kept here, to be sent when it is back: {n}.",
  "save.back": "Hillwright is back. Everything kept here is saved.",
  "save.others": "Somebody else changed this hill meanwhile: {what}. Both changes are kept.",
  "save.conflict": "Somebody else changed the same thing. Theirs stands; yours is kept as revision {side}.",
  "save.open-side": "Open mine",
  "save.refused": "Not saved, because it would be wrong:",

  "verdict.clear": "clear",
  "verdict.with measures": "with measures",
  "verdict.stop": "stop",
  "verdict.not yet": "not yet",
  "verdict.wait": "being worked out",

  "start.title": "Start with a hill",
  "start.lead": "From a survey of the bare ground to ten answers: is it safe, what fits, will it stay, where does the rain go, what grows, how many hands, which paper.",
  "start.tape": "Type four tape measurements",
  "start.tape.how": "Lay a base line along the foot of the slope. Every few steps along it, tape straight up the slope to the top and read the angle of the tape.",
  "start.tape.name": "What is the hill called?",
  "start.tape.name.value": "My hill",
  "start.tape.units": "Units",
  "start.tape.us": "feet and inches",
  "start.tape.metric": "metres",
  "start.tape.at": "Along the base line",
  "start.tape.up": "Up the slope",
  "start.tape.angle": "Angle",
  "start.tape.section": "Tape {n}",
  "start.tape.go": "Lay it out",
  "start.tape.more": "One more tape",
  "start.tape.less": "Take the last one away",
  "start.file": "Open a file",
  "start.file.how": "A job file with the files it names, or a survey alone: points (CSV), a height grid (TIFF), LandXML.",
  "start.file.drop": "Drop files here, or choose them",
  "start.examples": "Look at an example",
  "start.examples.how": "Invented hills. A copy opens; do with it what you like.",
  "start.yours": "Your hills",
  "start.none": "None yet.",
  "start.large": "{name} is larger than {most} MB",
  "start.large.right": "cut the survey down to the hillside, and open that",
  "start.busy": "Opening …",
  "start.revision": "revision {n}, {when}",
  "start.caution": "Hillside work can bury people. No figure here says that a slope is stable. Local codes and licensed practice decide; where it says stop, stop and ask.",

  "ask.title": "Ten questions",
  "ask.1": "Safe?", "ask.2": "Fit?", "ask.3": "Stay?", "ask.4": "Rain?", "ask.5": "Soil?",
  "ask.6": "Grows?", "ask.7": "Water?", "ask.8": "Hands?", "ask.9": "Cost?", "ask.10": "Papers?",

  "hill.title": "The hill",
  "hill.plan": "Plan", "hill.section": "Section", "hill.solid": "3D", "hill.table": "As a table",
  "hill.label": "Plan of the hill: {cells} cells in {rows} rows. Arrow keys go from cell to cell, or move the plan where none is chosen; shift and arrow keys always move it; plus and minus zoom; 0 shows all; the same as a table stands beside.",
  "hill.none": "No plan of this hill can be drawn yet. What is wrong stands beside.",
  "hill.in": "Closer", "hill.out": "Farther", "hill.all": "Show all", "hill.turn": "Turn by a quarter", "hill.north": "N",
  "hill.show": "Show",
  "hill.play": "Play", "hill.pause": "Pause",
  "hill.tool": "Move",
  "hill.scale": "{n} {unit}",

  "tool.look": "nothing: look and choose",
  "tool.outline": "corners of the outline",
  "tool.exclusion": "places to keep off",
  "tool.string": "the top string",
  "tool.tap": "the tap",
  "tool.outline.how": "Drag a corner. Press on an edge to add one; Delete takes the chosen one away.",
  "tool.exclusion.how": "Drag a place by its middle or its edge. Press on bare ground to add one.",
  "tool.string.how": "Drag an end of the top string. Where the job has none, one appears along row 1.",
  "tool.tap.how": "Drag the tap, or press where it is.",
  "tool.from-file": "It comes from a file. The first drag writes its corners into the job, and they stand from then on.",
  "tool.points": "By the numbers",
  "tool.point": "Corner {n}",
  "tool.x": "along", "tool.y": "across",
  "tool.remove": "Take away",
  "tool.add-corner": "Add a corner behind it",
  "tool.add-exclusion": "Add a place to keep off",
  "tool.new-exclusion": "keep off {n}",
  "tool.radius": "radius",

  "show.plants": "what grows", "show.plain": "cells only",
  "show.gap": "void under the base", "show.hump": "ground above the base", "show.run_slope": "slope along the run", "show.cross_slope": "slope along the row",
  "show.safety": "factor of safety, soaked", "show.sun": "sun in a mean day", "show.held": "water held in the storm",
  "show.litres": "water a day", "show.emitter_flow": "emitter flow", "show.pressure": "pressure at the emitter",
  "show.settled": "soil in place", "show.saturated": "weight, soaked", "show.day": "work by day", "show.month": "plants by month",
  "show.drip": "pipes", "show.bars": "anchors and stakes", "show.spots": "what to smooth",
  "show.lines": "Also",
  "show.least": "least", "show.most": "most", "show.unknown": "not known",
  "show.weak": "struck through: below 1.5",
  "show.blooms": "in flower", "show.picked": "to pick", "show.both": "both", "show.rests": "at rest",
  "show.after": "{time} after the rain began",
  "show.day.n": "day {n}",

  "chosen.title": "What is chosen",
  "chosen.nothing": "Choose a question, a cell, a row or a pipe.",
  "chosen.cell": "Row {row}, cell {number}",
  "chosen.row": "Row {row}",
  "chosen.pipe": "Pipe of valve {valve}",
  "chosen.bar": "Anchor or stake {n}",
  "chosen.all": "Read the whole answer",
  "chosen.caution": "Caution",
  "chosen.figures": "Figures, each with its why",
  "chosen.inputs": "What drives it",
  "chosen.back": "Back",
  "chosen.why": "Why?",
  "chosen.equation": "Equation", "chosen.numbers": "Numbers", "chosen.result": "Result", "chosen.source": "Source", "chosen.range": "Holds for", "chosen.note": "Note",
  "chosen.problems": "What is wrong",
  "chosen.right": "Right would be: {right}",

  "cell.use": "Use", "cell.use.0": "left open", "cell.use.1": "walking", "cell.use.2": "planted",
  "cell.plant": "Plant", "cell.trimmed": "cut to fit", "cell.whole": "whole", "cell.kind": "Cell",
  "cell.decide": "Decide this cell",
  "cell.free": "let the plan choose", "cell.open": "leave it open", "cell.walk": "make it a step", "cell.pin": "plant {plant}",
  "cell.anchored": "hangs from its own bars", "cell.clipped": "clipped to its neighbours", "cell.holds": "Holding",

  "row.cells": "Whole cells", "row.start": "From the top string", "row.along": "Along the row", "row.tapes": "Tapes A / B to its start",
  "row.plants": "Plants", "row.days": "Worked on", "row.card": "Row card",

  "pipe.0": "supply from the tap", "pipe.1": "header", "pipe.2": "lateral", "pipe.3": "small tubing",
  "pipe.flow": "Flow", "pipe.pressure": "Pressure at its end", "pipe.valve": "Valve", "pipe.zone": "Hydrozone",

  "edit.undo": "Undo", "edit.redo": "Redo", "edit.undo.what": "Undo: {what}", "edit.redo.what": "Redo: {what}",
  "edit.nothing-undo": "Nothing to undo", "edit.nothing-redo": "Nothing to redo",
  "edit.set": "{key}: {value}", "edit.left-out": "{key}: as usual",
  "edit.outline": "corner {n} of the outline moved", "edit.outline.add": "corner {n} of the outline added", "edit.outline.remove": "corner {n} of the outline taken away",
  "edit.exclusion": "{name} moved", "edit.exclusion.add": "{name} added", "edit.exclusion.remove": "{name} taken away",
  "edit.string": "top string moved", "edit.tap": "tap moved",
  "edit.cell": "row {row} cell {number}: {what}",

  "form.takes": "Takes: {takes}.", "form.left-out": "Left out: {usual}.", "form.none": "not set", "form.reset": "As usual", "form.yes": "yes", "form.no": "no",
  "form.list": "list, as the job file holds it", "form.more": "All of {section}",

  "table.title": "Cells as a table", "table.row": "Row", "table.cell": "Cell", "table.close": "Back to the plan",
  "table.caption": "Every cell with what is shown: {what}. Enter on a row number chooses the row, on a cell the cell.",

  "section.from": "Section through the hill", "section.up": "height", "section.along": "along the line",
  "section.at": "Where to cut", "section.turn": "Turned off the fall", "section.which": "Cut", "section.free": "where I say", "section.critical": "along section {name}: factor {factor}, {state}",
  "section.label": "Section: ground, cells cut, and the critical circle where one is near.",
  "section.table": "Ground along the section",

  "solid.label": "The hill in 3D with its cells and plants at mature size. Arrow keys go round it, plus and minus go nearer and farther.",
  "solid.wait": "Getting the 3D view …",
  "solid.no": "This browser cannot draw in 3D. Plan and section show the same hill.",
  "solid.month": "Month", "solid.hour": "Hour", "solid.sun": "Sun {height} high, from {bearing}", "solid.night": "The sun is down.",
  "solid.trees": "Plants at mature size", "solid.no-place": "Where north is or how far north the hill lies is not known: no sun can be shown.",

  "papers.title": "Papers", "papers.make": "Make the set", "papers.making": "Making: {file}", "papers.get": "Download the set", "papers.all": "The whole set",
  "papers.how": "Set-out plan, row schedule, stake list, drawings, lists: everything in one folder.",
  "papers.stale": "The set is of an earlier revision: make it again.",
  "papers.job": "Download the job", "papers.job.how": "The job file and its files in one archive.",
  "papers.field": "Field papers on this phone",

  "past.title": "Revisions", "past.name": "Name this revision", "past.named": "Name", "past.compare": "Compare", "past.with": "with now",
  "past.keys": "What was changed", "past.answers": "What came of it", "past.files": "Other files: {files}", "past.aside": "kept aside", "past.open": "Go on from here", "past.was": "was", "past.is": "is", "past.same": "No difference.",
  "past.keep": "Keep the name", "past.number": "Revision {n}", "past.now": "now", "past.opened": "opened",

  "field.title": "Field papers", "field.rows": "Row cards", "field.day": "Day sheet", "field.punch": "Punching list",
  "field.done": "done", "field.left": "{n} of {m} done", "field.set-out": "Set out", "field.hung": "Hung and clipped", "field.filled": "Filled", "field.planted": "Planted", "field.drip": "Drip laid",
  "field.offline": "No signal. Ticks are kept on this phone and sent later.",
  "field.waiting": "Ticks that wait to be sent: {n}",
  "field.sent": "Every tick is sent",
  "field.day.n": "Day {n}", "field.prev": "Before", "field.next": "After",
  "field.none-day": "Nothing is planned for this day.",
  "field.people": "people: {n}",
  "field.punch.none": "No drip network is laid out yet.",
  "field.lateral": "Lateral of row {row}, valve {valve}",
  "field.hole": "Hole {n} at {at}: cell {cell}",
  "field.back": "To the hill",
  "field.caution": "Nobody stands straight below a row that is being hung or filled.",
  "field.first": "First cell {n}",

  "month.1": "January", "month.2": "February", "month.3": "March", "month.4": "April", "month.5": "May", "month.6": "June",
  "month.7": "July", "month.8": "August", "month.9": "September", "month.10": "October", "month.11": "November", "month.12": "December",

  "gone.title": "Hillwright is not answering",
  "gone.what": "The program that serves this page has stopped. Start it again with: hillwright serve",
  "gone.anew": "It was started anew. Open the address that it printed: only that one is let in. What is kept here is sent then.",
  "err.title": "That did not work",
} as const;

export type Key = keyof typeof EN;

let table: Record<Key, string> = EN;

/** Take another language's table; what it leaves out stays as it is. */
export const speak = (words: Partial<Record<Key, string>>): void => {
  table = { ...EN, ...words };
};

export const t = (key: Key, fill: Record<string, string | number> = {}): string =>
  table[key].replace(/\{(\w+)\}/g, (whole, name: string) => String(fill[name] ?? whole));

/** A text whose key is put together; the key itself where there is no such text. */
export const tt = (key: string, fill?: Record<string, string | number>): string =>
  key in table ? t(key as Key, fill) : key.slice(key.indexOf(".") + 1);
