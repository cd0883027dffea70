// Which kinds of page there are, and a few addresses of each, found by following the pages' own links.

/**
 * @typedef {object} Kind
 * @property {string} name
 * @property {RegExp} at its path, with the query
 * @property {number} few how many of it are looked at
 * @property {boolean} [paper] a document of its own, made to be printed: without navigation
 * @property {boolean} [rare] not linked from any page of the demo
 */

const KEY = "[a-z0-9-]+";
const SCOPE = `(?:@group|${KEY})`;
const ID = "[0-9a-f-]{36}";
/** Where a procedure is asked for. */
const FOR = `for=${KEY}(?:/${KEY})?`;
const PRINT = "language=[a-z]+&paper=(?:a4|letter)";

/** @type {Kind[]} */
export const KINDS = [
  { name: "this week", at: /^\/$/, few: 1 },
  { name: "this week, more lines", at: /^\/\?top=\d+$/, few: 1 },
  { name: "sites", at: /^\/sites$/, few: 1 },
  { name: "sites, further on", at: /^\/sites\?/, few: 1, rare: true },
  { name: "site", at: new RegExp(`^/sites/${KEY}$`), few: 2 },
  { name: "machine", at: new RegExp(`^/sites/${KEY}/${KEY}$`), few: 3 },
  { name: "line", at: new RegExp(`^/sites/${KEY}/${KEY}/(?!record$|round$|sheet$)${KEY}$`), few: 4 },
  { name: "fault", at: new RegExp(`^/sites/${KEY}/${KEY}/${KEY}/fault$`), few: 3 },
  { name: "fault, answered", at: new RegExp(`^/sites/${KEY}/${KEY}/${KEY}/fault\\?[a-z0-9=:&-]+$`), few: 3 },
  { name: "control charts", at: new RegExp(`^/sites/${KEY}/${KEY}/${KEY}/charts$`), few: 2 },
  { name: "record", at: new RegExp(`^/sites/${KEY}/${KEY}/record$`), few: 2 },
  { name: "recorded", at: new RegExp(`^/sites/${KEY}/${KEY}/recorded/${ID}$`), few: 1, rare: true },
  { name: "round", at: new RegExp(`^/sites/${KEY}/${KEY}/round$`), few: 2 },
  { name: "round, recorded", at: new RegExp(`^/sites/${KEY}/${KEY}/round/${ID}$`), few: 1, rare: true },
  { name: "sheet", at: new RegExp(`^/sites/${KEY}/${KEY}/sheet$`), few: 1, paper: true },
  { name: "sheet, US Letter", at: new RegExp(`^/sites/${KEY}/${KEY}/sheet\\?paper=letter$`), few: 1, paper: true },
  { name: "procedures", at: /^\/procedures$/, few: 1 },
  { name: "procedure", at: new RegExp(`^/procedures/${KEY}/${KEY}$`), few: 3 },
  { name: "procedure, what to bring", at: new RegExp(`^/procedures/${KEY}/${KEY}\\?${FOR}$`), few: 2 },
  { name: "procedure, a version", at: new RegExp(`^/procedures/${KEY}/${KEY}/versions/[0-9a-f]{64}$`), few: 1 },
  { name: "procedure, skipped steps", at: new RegExp(`^/procedures/${KEY}/${KEY}/skip(?:\\?${FOR})?$`), few: 2 },
  { name: "procedure, quiz", at: new RegExp(`^/procedures/${KEY}/${KEY}/quiz(?:\\?${FOR})?$`), few: 2 },
  { name: "procedure, card", at: new RegExp(`^/procedures/${KEY}/${KEY}/card\\?${PRINT}(?:&${FOR})?$`), few: 2, paper: true },
  { name: "procedure, sign-off", at: new RegExp(`^/procedures/${KEY}/${KEY}/sign-off\\?${PRINT}(?:&${FOR})?$`), few: 2, paper: true },
  { name: "procedures, what to bring", at: new RegExp(`^/procedures/kit\\?${FOR}$`), few: 2 },
  { name: "records", at: /^\/records$/, few: 1 },
  { name: "ledger", at: new RegExp(`^/records/${SCOPE}$`), few: 2 },
  { name: "ledger, further back", at: new RegExp(`^/records/${SCOPE}\\?before=\\d+$`), few: 1 },
  { name: "record of a ledger", at: new RegExp(`^/records/${SCOPE}/${ID}$`), few: 2 },
  { name: "calculate", at: /^\/calculate(\?|\/|$)/, few: 3 },
  { name: "bring", at: /^\/bring(\/|$)/, few: 3 },
  { name: "set up", at: /^\/setup$/, few: 1 },
  { name: "set up, the group", at: /^\/setup\/group$/, few: 1 },
  { name: "set up, files", at: /^\/setup\/files$/, few: 1 },
  { name: "set up, how families behave", at: /^\/setup\/behaviour$/, few: 1 },
  { name: "set up, new", at: new RegExp(`^/setup/(?:[a-z]+|sites/${KEY}/machines(?:/${KEY}/lines)?)$`), few: 7 },
  { name: "set up, thing", at: new RegExp(`^/setup/(?!sites/)[a-z]+/${KEY}$`), few: 4 },
  { name: "set up, site", at: new RegExp(`^/setup/sites/${KEY}$`), few: 1 },
  { name: "set up, machine", at: new RegExp(`^/setup/sites/${KEY}/machines/${KEY}$`), few: 1 },
  { name: "set up, line", at: new RegExp(`^/setup/sites/${KEY}/machines/${KEY}/lines/${KEY}$`), few: 1 },
  { name: "documents", at: /^\/docs$/, few: 1 },
  { name: "document", at: /^\/docs\/(?!problems$)[a-z0-9-]+$/, few: 10 },
  { name: "problems", at: /^\/docs\/problems$/, few: 1 },
];

/** The kind of an address. @param {string} path */
export function kindOf(path) {
  return KINDS.find((kind) => kind.at.test(path));
}

/** Links in a page, as a browser would follow them. @param {string} text @param {string} at @returns {string[]} */
function links(text, at) {
  return [...text.matchAll(/<a\b[^>]*?\shref="([^"]*)"/g)].map(([, href]) => new URL(href.replaceAll("&amp;", "&"), at).href);
}

/** The most addresses of one kind that are asked for. */
const MOST = 60;

/**
 * Follows the links of this server from its first page. Gives what was found of each kind. Each link to nowhere, each
 * page of no known kind and each link to a place that is not in its page is a fault.
 * @param {string} origin @param {import("./runner.mjs").Faults} faults
 */
export async function crawl(origin, faults) {
  /** @type {Map<string, string[]>} */
  const found = new Map(KINDS.map((kind) => [kind.name, []]));
  const from = new Map([["/", "the first page"]]);
  const queue = ["/"];
  /** @type {Map<string, Set<string>>} */
  const places = new Map();
  /** @type {[string, string, string][]} */
  const anchors = [];
  for (let path = queue.shift(); path !== undefined; path = queue.shift()) {
    const answer = await fetch(origin + path);
    const text = await answer.text();
    if (answer.status !== 200) faults.add(from.get(path) ?? "", "link to nowhere", `${path}: ${answer.status}`);
    if (!answer.headers.get("content-type")?.startsWith("text/html")) continue;
    places.set(path, new Set([...text.matchAll(/\sid="([^"]*)"/g)].map(([, id]) => id)));
    const kind = kindOf(path);
    if (!kind) {
      faults.add(path, "page of no known kind: add it to kinds.mjs", `linked from ${from.get(path)}`);
      continue;
    }
    found.get(kind.name)?.push(path);
    for (const href of links(text, origin + path)) {
      const to = new URL(href);
      if (to.origin !== origin) continue;
      const next = to.pathname + to.search;
      if (to.hash) anchors.push([path, next, decodeURIComponent(to.hash.slice(1))]);
      if (from.has(next)) continue;
      from.set(next, path);
      const of = kindOf(next);
      const ahead = of ? queue.filter((one) => kindOf(one) === of).length + (found.get(of.name)?.length ?? 0) : 0;
      if (ahead < MOST) queue.push(next);
    }
  }
  for (const [page, to, id] of anchors) {
    if (id !== "" && places.get(to)?.has(id) === false) faults.add(page, "link to no place in its page", `${to}#${id}`);
  }
  return found;
}

/**
 * A few of a kind, spread over all that were found: neighbours are alike.
 * @param {string[]} all @param {number} few
 */
export function spread(all, few) {
  const step = Math.max(1, all.length / few);
  return [...new Set(Array.from({ length: Math.min(few, all.length) }, (_, i) => all[Math.floor(i * step)]))];
}
