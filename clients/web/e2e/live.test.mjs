// Two people on one project through the real server: a designer looks on while a volunteer measures.
import assert from "node:assert/strict";
import { open as openFile } from "node:fs/promises";
import { randomBytes } from "node:crypto";
import { after, before, test } from "node:test";
import { png } from "./png.mjs";
import { accessible, launch, open, picture } from "./browser.mjs";
import { startServer } from "./server.mjs";

const DESKTOP = { viewport: { width: 1280, height: 900 }, colorScheme: "light" };
const PHONE = { viewport: { width: 390, height: 844 }, isMobile: true, hasTouch: true, colorScheme: "light" };
const NARROW = { width: 360, height: 740 };

let server;
let browser;
let a; // the designer
let b; // the volunteer
let link;

before(async () => {
  server = await startServer();
  browser = await launch();
  a = await open(browser, DESKTOP);
  b = await open(browser, PHONE);
}, { timeout: 300_000 });

after(async () => {
  await browser?.close();
  await server?.stop();
});

/** Checks a page in both colour schemes, and keeps a picture of each. */
async function checked({ page }, name) {
  for (const colorScheme of ["dark", "light"]) {
    await page.emulateMedia({ colorScheme });
    await picture(page, `${name}-${colorScheme}`);
    await accessible(page, `${name}, ${colorScheme}`);
  }
}

const reading = () => b.page.locator("#value-reading");
const save = () => b.page.getByRole("button", { name: "Save", exact: true }).click();
const feed = (text) => a.page.locator(".feed li", { hasText: text }).first();

test("a link signs in and leaves no token in the address", async () => {
  await a.page.goto(new URL("/", server.pages).href);
  await a.page.getByRole("heading", { name: "Sign in" }).waitFor();
  await checked(a, "sign-in");
  await a.page.goto(server.pages);
  await a.page.locator(".church").waitFor();
  assert.equal(new URL(a.page.url()).hash, "");
  await checked(a, "churches");
  await a.page.getByLabel("Name or town").fill("no such town");
  await a.page.getByText("Nothing found").waitFor();
  await a.page.getByLabel("Name or town").fill("Millbrook");
  await a.page.locator(".church").waitFor();
});

test("the project's page shows drawings, light, circuits and findings", async () => {
  await a.page.locator(".church a").click();
  assert.ok(a.page.url().endsWith(`/projects/${server.project}`));
  await a.page.locator(".link.live").waitFor();
  for (const name of ["Light map", "Section", "Plan"]) {
    await a.page.getByRole("button", { name, exact: true }).click();
    await a.page.waitForFunction(() => (document.querySelector(".paper img")?.naturalWidth ?? 0) > 0);
  }
  await a.page.getByRole("heading", { name: "Findings" }).waitFor();
  assert.match(await a.page.locator("#light tbody tr").first().innerText(), /\d+ lx/);
  assert.match(await a.page.locator("#circuits tbody tr").first().innerText(), /\d+\.\d A/);
  assert.ok(await a.page.locator(".finding").count() > 5);
  // The demo church reads feet and pounds.
  const cells = async (id) => (await a.page.locator(`${id} tbody`).innerText()).replaceAll("\n", " ");
  assert.match(await cells("#circuits"), /\d+ ft/);
  assert.match(await cells("#hanging"), /\d+\.\d lb/);
  assert.match(await cells("#light"), /\d+ lx\s+\d+ fc/);
  for (const id of ["#circuits", "#hanging"]) assert.doesNotMatch(await cells(id), /\d (m|kg)\b/);
  assert.match(await a.page.locator("#light thead").innerText(), /Today/);
  assert.match(await cells("#daylight"), /lx/);
  assert.match(await cells("#looks"), /1\. House only/);
  await checked(a, "project");
  for (const width of [1024, 1280, 1400]) {
    await a.page.setViewportSize({ width, height: 900 });
    await picture(a.page, `project-${width}`);
    const cut = await a.page.locator(".scroll").evaluateAll((all) => all.filter((x) => x.scrollWidth > x.clientWidth + 1).map((x) => `${x.ariaLabel}: ${x.scrollWidth} in ${x.clientWidth} px`));
    assert.deepEqual(cut, [], `tables cut at ${width} px`);
  }
  for (const width of [360, 768]) {
    await a.page.setViewportSize({ width, height: 900 });
    await checked(a, `project-${width}`);
  }
  await a.page.setViewportSize(DESKTOP.viewport);

  const download = a.page.waitForEvent("download");
  await a.page.getByRole("button", { name: /^Packet 1 \(PDF/ }).click();
  const file = await openFile(await (await download).path());
  const { buffer } = await file.read(Buffer.alloc(5), 0, 5, 0);
  await file.close();
  assert.equal(buffer.toString(), "%PDF-");

  await a.page.getByRole("button", { name: "Make an invitation link" }).click();
  link = await a.page.getByLabel(/^Link for up to/).inputValue();
  assert.match(link, /\/#join=\S+$/);
});

test("findings are narrowed by severity, owner and state", async () => {
  const findings = a.page.locator("#findings");
  await findings.getByLabel("How serious").selectOption({ label: "Warnings" });
  const all = Number(/^\d+ of (\d+) findings/.exec(await findings.locator("output").innerText())[1]);
  assert.equal(await findings.locator(".finding.stop").count(), 0);
  const warnings = await findings.locator(".finding.warn").count();
  assert.ok(warnings > 5 && warnings < all);
  const owner = await findings.getByLabel("Who clears it").locator("option", { hasText: "Church leadership" }).textContent();
  await findings.getByLabel("Who clears it").selectOption({ label: owner });
  const leadership = await findings.locator(".finding").count();
  assert.ok(leadership > 0 && leadership < warnings);
  assert.equal(await findings.locator(".finding", { hasText: "Clears it: church leadership" }).count(), leadership);
  await findings.getByLabel("Only what is open").check();
  await checked(a, "findings");
  await findings.getByLabel("Only what is open").uncheck();
  await findings.getByLabel("Who clears it").selectOption("");
  await findings.getByLabel("How serious").selectOption("");
});

test("a volunteer joins from the link with a name alone", async () => {
  await b.page.goto(link);
  await b.page.getByLabel("Your name").waitFor();
  assert.equal(new URL(b.page.url()).hash, "");
  await checked(b, "join");
  await b.page.getByLabel("Your name").fill("Second helper");
  await b.page.getByRole("button", { name: "Join" }).click();
  await b.page.getByText("Measure from the floor only.").waitFor();
  await b.page.locator(".link.live").waitFor();
  await b.page.getByRole("heading", { name: "What to measure next" }).waitFor();
  await checked(b, "measure");
  await feed("Second helper").waitFor();
});

test("a number without unit is asked about", async () => {
  await b.page.getByLabel("Height of").selectOption("W1");
  await b.page.getByLabel("From which floor?").selectOption("hall floor");
  await b.page.locator("#value").fill("86");
  await reading().getByText("Which do you mean?").waitFor();
  assert.equal(await reading().getByRole("button").count(), 6);
  await checked(b, "ambiguous");
  await save();
  await b.page.getByText("Choose one of the readings").waitFor();
  assert.equal(await b.page.locator(".answer").count(), 0);
  await reading().getByRole("button", { name: /^86 in/ }).click();
  await reading().getByText("2.18 m").waitFor();
  await b.page.locator("#value").fill("12 horses");
  await reading().getByText("Cannot be read").waitFor();
});

test("what the volunteer enters appears on the designer's page, and contradictions at once on both", async () => {
  await a.page.evaluate(() => { window.stillTheSamePage = true; });
  const oldSum = await a.page.locator(".sum dd").first().innerText();

  await b.page.locator("#value").fill(`12' 6 1/2"`);
  await reading().getByText("3.82 m").waitFor();
  await b.page.getByLabel("Measured with").selectOption({ label: "Laser distance meter" });
  await save();
  await b.page.getByText("Saved:").waitFor();
  // The stored survey has 19 ft 8 in for the same beam.
  await b.page.locator(".answer .finding", { hasText: "W1" }).first().waitFor();
  await b.page.locator(".entries li", { hasText: `12' 6 1/2" = 12 ft 6 1/2 in` }).waitFor();
  assert.doesNotMatch(await b.page.locator(".answer").innerText(), /[0-9a-f]{8}-[0-9a-f]{4}-/, "ids are no words for people");
  await checked(b, "contradiction");
  await feed(`measured height of W1 = 12' 6 1/2"`).waitFor();

  await b.page.getByLabel("What did you measure?").selectOption({ label: "A straight distance between two points" });
  await b.page.getByLabel("From", { exact: true }).selectOption("front left");
  await b.page.getByLabel("To", { exact: true }).selectOption("A new point …");
  await b.page.getByLabel("To: name of the new point").fill("font");
  await b.page.locator("#value").fill("3.81 m");
  await reading().getByText("3.81 m").waitFor();
  await reading().getByText("12 ft 6 in").waitFor();
  await save();
  await b.page.locator(".entries li", { hasText: "front left to font: 3.81 m = 12 ft 6 in" }).waitFor();
  await feed("measured distance front left to font = 3.81 m").waitFor();

  await b.page.getByLabel("What did you measure?").selectOption({ label: "A sloping distance, with how steep it is" });
  await b.page.getByLabel("From (where the laser was held)").selectOption("front left");
  await b.page.getByLabel("To (what it was aimed at)").selectOption("font");
  await b.page.getByLabel("Distance along the beam, with its unit").fill("3.82 m");
  await save();
  await b.page.locator("#angle-problem").getByText("Type the number").waitFor();
  await b.page.getByLabel("Tilt from level, in degrees").fill("4.5");
  await b.page.locator("#angle-reading").getByText("4.5°").waitFor();
  await checked(b, "slope");
  await save();
  await b.page.locator(".entries li", { hasText: "front left to font, sloping: 3.82 m = 12 ft 6 1/2 in, 4.5°" }).waitFor();

  await a.page.waitForFunction((old) => document.querySelector(".sum dd")?.textContent !== old, oldSum);
  assert.equal(await a.page.evaluate(() => window.stillTheSamePage), true, "the page was loaded again");
});

test("a name nobody knows is asked about: a slip is mended, a new point is made, each with one tap", async () => {
  await b.page.getByLabel("What did you measure?").selectOption({ label: "A straight distance between two points" });
  await b.page.getByLabel("From", { exact: true }).selectOption("font");
  await b.page.getByLabel("To", { exact: true }).selectOption("A new point …");
  await b.page.getByLabel("To: name of the new point").fill("frnt right");
  await b.page.locator("#value").fill("21 ft");
  await save();
  const ask = b.page.locator("form .ask");
  await ask.getByText("There is no “frnt right” here yet.").waitFor();
  await checked(b, "unknown-point");
  // A number that is changed meanwhile must not be lost: the question goes, and comes back with the next save.
  await b.page.locator("#value").fill("22 ft");
  await ask.waitFor({ state: "detached" });
  await save();
  await ask.getByRole("button", { name: "I mean front right" }).click();
  await b.page.locator(".answer", { hasText: "Saved: font to front right: 22 ft" }).waitFor();
  await feed("measured distance font to front right = 22 ft").waitFor();

  await b.page.getByLabel("To", { exact: true }).selectOption("A new point …");
  await b.page.getByLabel("To: name of the new point").fill("fonts");
  await b.page.locator("#value").fill("3 ft");
  await save();
  await ask.getByRole("button", { name: "fonts is a new point" }).click();
  await b.page.locator(".answer", { hasText: "Saved: font to fonts: 3 ft" }).waitFor();
  await feed("measured distance font to fonts = 3 ft").waitFor();
  await b.page.getByLabel("To", { exact: true }).locator("option", { hasText: /^fonts$/ }).waitFor({ state: "attached" });
  assert.equal(await b.page.getByLabel("To", { exact: true }).locator("option", { hasText: /^frnt right$/ }).count(), 0, "the slip made no point");
});

test("how low it gets on the way in is written down", async () => {
  const card = b.page.locator("section", { has: b.page.getByRole("heading", { name: "Way in for a lift" }) });
  const form = card.locator("form").first();
  await form.getByRole("textbox").fill(`7' 2"`);
  await form.getByText("2.18 m").waitFor();
  await form.getByRole("button", { name: "Save the height" }).click();
  await form.getByText("Saved.").waitFor();
  await form.getByText("Written down so far: 7 ft 2 in.").waitFor();
});

test("an entry can be struck out and stays on record", async () => {
  const entry = b.page.locator(".entries li", { hasText: "front left to font: " });
  await entry.getByRole("button", { name: /^Strike out/ }).click();
  await entry.getByLabel("Why?").fill("read the wrong end");
  await entry.getByRole("button", { name: "Strike out for good" }).click();
  await entry.locator("s").waitFor();
  await feed("read the wrong end").waitFor();
});

test("both pages are quiet, and hold at 360 px", async () => {
  assert.deepEqual(a.errors, []);
  // The browser writes down each name that was refused first: font, frnt right twice, fonts.
  const refused = /status of 400/;
  assert.deepEqual(b.errors.filter((e) => !refused.test(e)), []);
  assert.equal(b.errors.filter((e) => refused.test(e)).length, 4);
  await b.page.setViewportSize(NARROW);
  await checked(b, "measure-narrow");
  await b.page.getByText("The whole project").click();
  await b.page.getByRole("heading", { name: "Circuits" }).waitFor();
  await b.page.waitForFunction(() => (document.querySelector(".paper img")?.naturalWidth ?? 0) > 0);
  assert.equal(await b.page.getByRole("button", { name: "Make an invitation link" }).count(), 0, "volunteers do not invite");
  await checked(b, "project-narrow");
  await b.page.getByRole("link", { name: "Roodbeam" }).click();
  await b.page.locator(".church").waitFor();
  await checked(b, "churches-narrow");
  await b.page.goBack();
  await b.page.goBack();
  await b.page.getByRole("heading", { name: "Enter a measurement" }).waitFor();
});

test("what the server refuses is said beside the field, and nothing is written", async () => {
  await b.page.getByLabel("Height of").selectOption("W2");
  await b.page.locator("#value").fill("900 m");
  await reading().getByText("900.00 m").waitFor();
  await save();
  await b.page.locator("#value-problem").getByText("200").waitFor();
  assert.equal(await b.page.locator("#value").inputValue(), "900 m");
  await checked(b, "refused");
  assert.equal(await b.page.locator(".waits").count(), 0);
});

test("without a connection an entry waits in the browser and is sent later", async () => {
  await b.context.setOffline(true);
  await b.page.getByLabel("Height of").selectOption("W2");
  await b.page.locator("#value").fill("18 ft 5 in");
  await save();
  await b.page.getByText("1 entry waits to be sent").waitFor();
  assert.equal(await b.page.evaluate(() => Object.keys(localStorage).filter((k) => k.startsWith("roodbeam.outbox.")).length), 1);
  await checked(b, "waiting");
  // A phone that is taken out of the pocket asks anew.
  await b.page.evaluate(() => document.dispatchEvent(new Event("visibilitychange")));
  await b.page.locator(".link.lost").waitFor();
  await b.context.setOffline(false);
  await b.page.locator(".link.live").waitFor();
  await feed("measured height of W2 = 18 ft 5 in").waitFor();
  await b.page.getByText("1 entry waits to be sent").waitFor({ state: "hidden" });
  await b.page.locator(".answer", { hasText: "Saved: Height of W2" }).waitFor();
  await b.page.locator(".entries li", { hasText: "18 ft 5 in" }).waitFor();
});

test("a name nobody knows, entered without a connection, is asked about when it is sent", async () => {
  await b.context.setOffline(true);
  await b.page.getByLabel("Height of").selectOption("A new point …");
  await b.page.getByLabel("Height of: name of the new point").fill("frnt left");
  await b.page.locator("#value").fill("9 ft 1 in");
  await save();
  await b.page.getByText("1 entry waits to be sent").waitFor();
  await b.context.setOffline(false);
  const waits = b.page.locator(".waits");
  await waits.getByText("There is no “frnt left” here yet.").waitFor();
  await checked(b, "unknown-point-waits");
  // The question outlives the page.
  await b.page.reload();
  await waits.getByRole("button", { name: "I mean front left" }).click();
  await feed("measured height of front left = 9 ft 1 in").waitFor();
  await waits.waitFor({ state: "detached" });

  await b.context.setOffline(true);
  await b.page.getByLabel("Height of").selectOption("A new point …");
  await b.page.getByLabel("Height of: name of the new point").fill("front lefty");
  await b.page.locator("#value").fill("4 ft");
  await save();
  await b.page.getByText("1 entry waits to be sent").waitFor();
  await b.context.setOffline(false);
  await waits.getByRole("button", { name: "front lefty is a new point" }).click();
  await feed("measured height of front lefty = 4 ft").waitFor();
  await waits.waitFor({ state: "detached" });
});

test("a photo goes up in pieces, goes on after a lost connection, and a refusal comes with advice", async () => {
  const card = b.page.locator("section", { has: b.page.getByRole("heading", { name: "Photos" }) });
  const file = card.getByLabel("Take or choose a photo");
  await card.getByRole("button", { name: "Send the photo" }).click();
  await card.getByText("Take or choose a photo first.").waitFor();
  await card.getByLabel("What does it show?").selectOption("Hanging line W1");
  await file.setInputFiles({ name: "film.mp4", mimeType: "image/jpeg", buffer: Buffer.from("\0\0\0\x18ftypmp42\0\0\0\0mp42") });
  await card.getByAltText("What will be sent").waitFor();
  await card.getByRole("button", { name: "Send the photo" }).click();
  await card.getByText("films are not taken").waitFor();
  await checked(b, "photo-refused");

  // Grain does not shrink: three pieces and a bit.
  const grain = png(900, 600, randomBytes(900 * 600 * 3));
  assert.ok(grain.length > 3 * 512 * 1024);
  let pieces = 0;
  await b.page.route("**/PutPhotoChunk", (route) => {
    pieces++;
    assert.ok(route.request().postDataBuffer().length < 512 * 1024 + 1024);
    return pieces === 3 ? route.abort() : route.continue();
  });
  await file.setInputFiles({ name: "w1.png", mimeType: "image/png", buffer: grain });
  await card.getByLabel("In a few words (if there is anything to say)").fill("its bearing at the wall");
  await card.getByRole("button", { name: "Send the photo" }).click();
  await card.getByRole("button", { name: "Go on sending" }).waitFor();
  await checked(b, "photo-waits");
  await card.getByRole("button", { name: "Go on sending" }).click();
  await card.getByText("Saved:").waitFor();
  assert.equal(pieces, 3 + Math.ceil(grain.length / (512 * 1024)) - 2, "only what was missing is sent again");
  const thumb = card.getByAltText("its bearing at the wall");
  await thumb.waitFor();
  await b.page.waitForFunction(() => (document.querySelector(".photos img")?.naturalWidth ?? 0) > 0);
  assert.ok(await thumb.evaluate((i) => i.naturalWidth) <= 320, "the list shows the small copy");
  await checked(b, "photo");

  await card.getByLabel("What does it show?").selectOption({ label: "Rows of breakers and the directory" });
  await card.getByText("no tools, no covers").waitFor();
  await file.setInputFiles({ name: "e3.png", mimeType: "image/png", buffer: png(40, 30, randomBytes(40 * 30 * 3)) });
  await card.getByAltText("What will be sent").waitFor();
  await card.getByRole("button", { name: "Send the photo" }).click();
  await card.getByText("Saved: photo of Rows of breakers and the directory").waitFor();
});

test("an electrician signs with name, firm and licence; the page says who invited them, and they can be removed", async () => {
  await a.page.getByLabel("As what?").selectOption({ label: "Licensed electrician" });
  await a.page.getByText("Findings will say that you invited").waitFor();
  await a.page.getByRole("button", { name: "Make an invitation link" }).click();
  const one = await a.page.getByLabel(/^Link for one person/).inputValue();
  const c = await open(browser, DESKTOP);
  await c.page.goto(one);
  await c.page.getByLabel("Your name").fill("An electrician");
  await c.page.getByRole("button", { name: "Join" }).click();
  const finding = c.page.locator(".finding", { hasText: "dimmer channel D4" }).first();
  const others = c.page.locator(".finding", { hasText: "Clears it: structural engineer" }).first();
  await finding.getByRole("button", { name: /^Sign as licensed electrician/ }).click();
  assert.equal(await others.getByRole("button").count(), 0, "nobody signs for another trade");
  await finding.getByRole("button", { name: "Sign", exact: true }).click();
  await finding.getByText("Fill in every field.").waitFor();
  await checked(c, "sign");
  await finding.getByLabel("Your name").fill("The master electrician");
  await finding.getByLabel("Your firm").fill("A firm in town");
  await finding.getByLabel("Number of your licence or registration").fill("EL-4711");
  await finding.getByLabel("Body that issued it").fill("The state board");
  await finding.getByLabel("What you checked, and what you decide").fill("Lamps counted: the list was wrong.");
  await finding.getByRole("button", { name: "Sign", exact: true }).click();

  const signed = a.page.locator(".finding", { hasText: "dimmer channel D4" }).first();
  await signed.getByText("Signed by The master electrician, licensed electrician").waitFor();
  await signed.getByText("A firm in town, licence EL-4711 from The state board").waitFor();
  await signed.getByText("Server owner invited the signer").waitFor();
  await a.page.getByText("Signer was invited by whoever planned the work").first().waitFor({ state: "attached" });
  await checked(a, "signed");
  assert.deepEqual(c.errors, []);

  const person = a.page.locator("#people li", { hasText: "An electrician" });
  await person.getByRole("button", { name: "Remove An electrician" }).first().click();
  await person.getByLabel(/^Why/).fill("work done");
  await checked(a, "remove-person");
  await person.locator("form").getByRole("button").click();
  await person.waitFor({ state: "detached" });
  assert.equal(await a.page.locator("#people li", { hasText: "Server owner, manager" }).getByRole("button").count(), 0, "the last manager stays");
  await c.page.reload();
  await c.page.getByText("This token is not known here").waitFor();
  await c.context.close();
});

test("signing out forgets the token, and a wrong one is refused", async () => {
  await a.page.getByRole("button", { name: "Sign out" }).click();
  await a.page.getByLabel("Token").fill("rbt_wrong");
  assert.equal(await a.page.evaluate(() => localStorage.getItem("roodbeam.token")), null);
  await a.page.getByRole("button", { name: "Sign in" }).click();
  await a.page.getByText("This token is not known here").waitFor();
  await accessible(a.page, "refused sign-in");
});
