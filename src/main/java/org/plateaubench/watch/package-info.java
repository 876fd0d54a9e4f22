/**
 * A running night seen from elsewhere: live page, metrics, a command that is told of events. Listens only: nothing here
 * can change a night. May use units, clock, plan, benchfile, engine's progress, night's listener and record's JSON.
 */
package org.plateaubench.watch;
