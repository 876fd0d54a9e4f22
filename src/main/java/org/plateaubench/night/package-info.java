/**
 * Ties engine, bench, clock and record into a night: run and rehearse. May use clock, plan, benchfile, engine, bench,
 * record, results.
 */
package org.plateaubench.night;
