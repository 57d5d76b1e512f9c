// A page that is read says when what it shows is no longer so, and when nobody answers.
import { Present } from "./present.js";

const leaf = document.querySelector("[data-leaf][data-seen]");
if (leaf) new Present(`/api/repairs/${encodeURIComponent(leaf.dataset.repair)}/pulse`, p => p.seen === leaf.dataset.seen);
