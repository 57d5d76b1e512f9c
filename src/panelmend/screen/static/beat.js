// The heartbeat's clock: a browser slows a page's own timers down to one a minute when another page lies over it, and a
// worker's not.
setInterval(() => postMessage(0), 1000);
