// Vial numbers as the server reads them: digits only, the check digit of ISO/IEC 7064 MOD 11,10.
// Codes and sentences are the server's, word for word; one table of cases holds both to it.

const YEAR_DIGITS = 2;
const SHORTEST = 7;
const LONGEST = 9;

// White space as the server's language counts it, which is not quite this language's.
const SPACE =
  "\\t-\\r\\x1c-\\x20\\x85\\xa0\\u1680\\u2000-\\u200a\\u2028\\u2029\\u202f\\u205f\\u3000";
const AROUND = new RegExp(`^[${SPACE}]+|[${SPACE}]+$`, "g");
// Spaces and every hyphen or dash that a keyboard may put between the groups.
const BETWEEN_GROUPS = new RegExp(`[${SPACE}\\u00ad\\u2010-\\u2015\\u2212-]+`, "g");
const DIGITS = /^[0-9]+$/;
// Hosts change and printed labels stay, so only the end of a scanned link is looked at.
const LINK = /\/v\/([^/?#]*)/i;

export function trimmed(text) {
  return text.replace(AROUND, "");
}

export function checkDigit(body) {
  let product = 10;
  for (const digit of body) {
    product = (((product + Number(digit)) % 10 || 10) * 2) % 11;
  }
  return String((11 - product) % 10);
}

// Reads a number as typed, with spaces or hyphens, or as the whole link of its label. A number
// that was read comes without a code; one whose last digit does not fit comes with both.
export function parseVial(text) {
  const read = plainDigits(text);
  if (read.code) {
    return read;
  }
  if (read.number.endsWith(checkDigit(read.number.slice(0, -1)))) {
    return read;
  }
  return {
    code: "wrong_check_digit",
    sentence: `${grouped(read.number)} is not one of our vial numbers. Check every digit against the label.`,
    number: read.number,
  };
}

// Takes the digits out of what was typed or scanned; the check digit is not looked at.
function plainDigits(text) {
  const typed = trimmed(String(text ?? "").normalize("NFKC"));
  const link = LINK.exec(typed);
  const digits = (link ? link[1] : typed).replace(BETWEEN_GROUPS, "");
  if (!digits) {
    return { code: "empty", sentence: "Enter the number on the vial's label." };
  }
  if (!DIGITS.test(digits)) {
    return {
      code: "not_digits",
      sentence: "A vial number has digits only. Type the digits on the label.",
    };
  }
  if (digits.length < SHORTEST) {
    return {
      code: "too_short",
      sentence:
        `This vial number is too short: ${digits.length} of at least ${SHORTEST} digits. ` +
        "Read the label again.",
    };
  }
  if (digits.length > LONGEST) {
    return {
      code: "too_long",
      sentence:
        `This vial number is too long: ${digits.length} digits, and ${LONGEST} is the most. ` +
        "Read the label again.",
    };
  }
  return { number: digits };
}

// 2601473 as on its label: 26 0147 3. What is no vial number is shown as it was typed.
export function grouped(number) {
  const read = plainDigits(number);
  if (read.code) {
    return number;
  }
  const digits = read.number;
  return `${digits.slice(0, YEAR_DIGITS)} ${digits.slice(YEAR_DIGITS, -1)} ${digits.slice(-1)}`;
}

// The number so many places further on (or back) in the same year's sequence, else null.
export function step(number, by) {
  const read = parseVial(number);
  if (read.code) {
    return null;
  }
  const year = read.number.slice(0, YEAR_DIGITS);
  const sequence = read.number.slice(YEAR_DIGITS, -1);
  const next = Number(sequence) + by;
  if (next < 1 || next >= 10 ** sequence.length) {
    return null;
  }
  const body = year + String(next).padStart(sequence.length, "0");
  return body + checkDigit(body);
}

// Whether a number ends with these digits, its check digit counted or left out.
export function endsWith(number, lastDigits) {
  const wanted = lastDigits.normalize("NFKC").replace(BETWEEN_GROUPS, "");
  return DIGITS.test(wanted) && (number.endsWith(wanted) || number.slice(0, -1).endsWith(wanted));
}

export function vialsEnding(inHand, digits) {
  return inHand.filter((number) => endsWith(number, digits)).sort();
}

// The numbers that one slip of a key turns into what was typed: a digit typed wrong, left out or
// typed twice, or two neighbors in the wrong order. A check digit that does not fit says that
// there is such a slip and not where it is.
export function near(typed, numbers) {
  const digits = typed.normalize("NFKC").replace(BETWEEN_GROUPS, "");
  return DIGITS.test(digits) ? numbers.filter((number) => isOneSlip(digits, number)).sort() : [];
}

function isOneSlip(typed, number) {
  const start = [...typed].findIndex((digit, place) => digit !== number[place]);
  if (start === -1) return number.length - typed.length === 1;
  const [rest, due] = [typed.slice(start), number.slice(start)];
  if (due === "") return rest.length === 1;
  const swapped = rest.slice(0, 2) === due[1] + due[0] && rest.slice(2) === due.slice(2);
  return swapped || rest.slice(1) === due.slice(1) || rest.slice(1) === due || rest === due.slice(1);
}

export function noVialEndsSo(lastDigits, example = "") {
  const suchAs = example ? `, such as ${grouped(example)}` : " on the label";
  return `No vial in your hands ends in ${lastDigits}. Enter the whole number${suchAs}.`;
}

// The number that the next fish most likely gets: the one after the party's last, else the
// lowest of the season in hand. `year` is the year that the season's numbers carry; a vial left
// over from another is never offered. A phone with no list of vials trusts the sequence.
export function nextNumber({ lastInParty = "", inHand = [], used = [], year }) {
  const gone = new Set(used);
  const free = inHand.filter((number) => !gone.has(number)).sort();
  const following = (lastInParty && step(lastInParty, 1)) || "";
  const unlisted = inHand.length === 0 && !gone.has(following);
  if (following && (unlisted || free.includes(following))) {
    return following;
  }
  return free.find((number) => isOfYear(number, year)) ?? "";
}

export function isOfYear(number, year) {
  return number.startsWith(String(Number(year) % 100).padStart(YEAR_DIGITS, "0"));
}
