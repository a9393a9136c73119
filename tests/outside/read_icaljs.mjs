// Reads calendar files with ical.js and prints their events as JSON.
import { readFileSync } from "node:fs";
import { createRequire } from "node:module";
import { pathToFileURL } from "node:url";

const [modules, ...files] = process.argv.slice(2);
const require = createRequire(pathToFileURL(modules + "/"));
const found = require.resolve("ical.js");
const loaded = await import(pathToFileURL(found));
const ICAL = loaded.default ?? loaded;

const tell = (time) =>
  time.isDate ? time.toString() : time.toJSDate().toISOString().replace(".000Z", "Z");

const answer = {};
for (const file of files) {
  const calendar = new ICAL.Component(ICAL.parse(readFileSync(file, "utf8")));
  ICAL.TimezoneService.reset();
  for (const zone of calendar.getAllSubcomponents("vtimezone")) {
    // Only what the file itself says of the zone.
    const made = new ICAL.Timezone(zone);
    ICAL.TimezoneService.remove(made.tzid);
    ICAL.TimezoneService.register(made);
  }
  answer[file] = calendar.getAllSubcomponents("vevent").map((component) => {
    const event = new ICAL.Event(component);
    return [
      event.uid,
      tell(event.startDate),
      tell(event.endDate),
      event.sequence,
      component.getFirstPropertyValue("status"),
    ];
  });
}
console.log(JSON.stringify(answer));
