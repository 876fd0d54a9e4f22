/**
 * Writing, sealing, reading and checking records; keys, ledger, amendments. May use units, clock, sample.
 */
package org.plateaubench.record;
