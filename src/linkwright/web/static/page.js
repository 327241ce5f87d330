// The pages work without this; with it, parts come by themselves, a changed setting moves only
// what changed, and a number opens in place.
import { openNumbers } from "./numbers.js";
import { moveSettings } from "./settings.js";
import { rankAsTyped } from "./duty.js";
import { keepOrder } from "./order.js";
import { loadParts } from "./parts.js";

loadParts(document);
openNumbers();
moveSettings();
rankAsTyped();
keepOrder();
