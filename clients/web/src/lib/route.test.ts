import { expect, test } from "vitest";
import { measurePath, projectPath, routeOf, secretsOf } from "./route";

const id = "0197a000-0000-7000-8000-000000000001";

test("paths lead to pages and back", () => {
  expect(routeOf("/")).toEqual({ page: "churches" });
  expect(routeOf(projectPath(id))).toEqual({ page: "project", project: id });
  expect(routeOf(measurePath(id))).toEqual({ page: "measure", project: id });
  expect(routeOf("/projects/../x")).toEqual({ page: "missing" });
  expect(routeOf(`/projects/${id}/other`)).toEqual({ page: "missing" });
});

test("secrets come from behind the # only", () => {
  expect(secretsOf("#token=abc_-1")).toEqual({ token: "abc_-1" });
  expect(secretsOf("#join=xyz")).toEqual({ join: "xyz" });
  expect(secretsOf("#token=")).toEqual({});
  expect(secretsOf("")).toEqual({});
});
