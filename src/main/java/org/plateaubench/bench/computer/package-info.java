/**
 * The computer as a device of the bench: labelled sensors, processor clock, throttling, power and load, each read from
 * the kernel's own files, and facts about the machine for the record. May use units, clock, sample, benchfile, bench.
 */
package org.plateaubench.bench.computer;
