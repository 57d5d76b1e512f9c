// Asking the server. A refusal comes in the one form the server has (RFC 9457) and is thrown as Refused.
export class Refused extends Error {
  constructor(problem) {
    super(problem.title);
    this.problem = problem;
  }
}

export class NoAnswer extends Error {}

const LONGEST = 20000; // ms

async function ask(path, options, longest = LONGEST) {
  let answer;
  try {
    answer = await fetch(path, { ...options, signal: AbortSignal.timeout(longest), credentials: "same-origin" });
  } catch {
    throw new NoAnswer(path);
  }
  let body = null;
  try {
    body = await answer.json();
  } catch {
    throw new NoAnswer(path);
  }
  if (!answer.ok) throw new Refused(body);
  return body;
}

export const get = path => ask(path, {});
/** A write; one that plans and prints takes longer than a reading. */
export const post = (path, body, longest = LONGEST) =>
  ask(path, { method: "POST", headers: { "Content-Type": "application/json" }, body: JSON.stringify(body) }, longest);
/** A file as it is. */
export const put = (path, file, method = "PUT") => ask(path, { method, headers: { "Content-Type": "application/octet-stream" }, body: file }, 120000);
