// One question at a time: while an answer is awaited only the newest of the later questions is remembered.
export function latest(ask, answered) {
  let running = false, waiting = null;
  return async function next(question) {
    if (running) {
      waiting = question;
      return;
    }
    running = true;
    try {
      await answered(question, await ask(question), null);
    } catch (error) {
      await answered(question, null, error);
    } finally {
      running = false;
      if (waiting !== null) {
        const then = waiting;
        waiting = null;
        next(then);
      }
    }
  };
}
