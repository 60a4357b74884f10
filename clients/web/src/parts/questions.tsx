import type { Question } from "../gen/roodbeam/v1/room_pb";
import { count } from "../lib/format";

const FIRST = 5;

/** What to measure next, most useful first. */
export function Questions({ questions }: { questions: Question[] }): preact.JSX.Element {
  const own = questions.filter((q) => q.who === "" || /\bvolunteer\b/.test(q.who));
  const others = questions.filter((q) => !own.includes(q));
  return (
    <section class="card" aria-labelledby="next-title">
      <h2 id="next-title">What to measure next</h2>
      {own.length === 0 ? <p>Nothing is asked of you at the moment. Thank you.</p> : <List questions={own.slice(0, FIRST)} />}
      {own.length <= FIRST ? null : <details><summary>{count(own.length - FIRST, "more question")}</summary><List questions={own.slice(FIRST)} /></details>}
      {others.length === 0 ? null : <details><summary>{count(others.length, "question")} for others</summary><List questions={others} /></details>}
    </section>
  );
}

function List({ questions }: { questions: Question[] }): preact.JSX.Element {
  return (
    <ol class="questions">
      {questions.map((q) => (
        <li key={q.about + q.ask}>
          <b>{q.about === "" ? "" : `${q.about}: `}{q.ask}</b>
          {q.why === "" ? null : <p class="muted">Why: {q.why}</p>}
          {q.assumed === "" ? null : <p class="muted">Until then: {q.assumed}</p>}
        </li>
      ))}
    </ol>
  );
}
