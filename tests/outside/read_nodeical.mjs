// Reads calendar files with node-ical and prints their events as JSON.
import { createRequire } from "node:module";
import { pathToFileURL } from "node:url";

const [modules, ...files] = process.argv.slice(2);
const require = createRequire(pathToFileURL(modules + "/"));
const ical = require("node-ical");

const two = (number) => String(number).padStart(2, "0");
const tell = (time) =>
  time.dateOnly
    ? `${time.getFullYear()}-${two(time.getMonth() + 1)}-${two(time.getDate())}`
    : time.toISOString().replace(".000Z", "Z");

const answer = {};
for (const file of files) {
  const events = Object.values(ical.sync.parseFile(file)).filter((one) => one.type === "VEVENT");
  answer[file] = events.map((event) => [
    event.uid,
    tell(event.start),
    tell(event.end),
    Number(event.sequence),
    event.status,
  ]);
}
console.log(JSON.stringify(answer));
