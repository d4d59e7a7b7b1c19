// Counts what held and prints what did not.

export class Tally {
  passed = 0;
  failed = 0;

  // `faults` is a list of sentences; none of them means that the check held.
  check(page, what, faults) {
    if (faults.length === 0) {
      this.passed += 1;
      return;
    }
    this.failed += 1;
    console.log(`${page}: ${what}`);
    for (const fault of faults.slice(0, 5)) console.log(`    ${fault.replace(/\s+/g, " ")}`);
    if (faults.length > 5) console.log(`    and ${faults.length - 5} more`);
  }

  close() {
    console.log(`${this.passed} passed, ${this.failed} failed`);
  }
}
