package org.plateaubench.bench;

/**
 * What came of setting something.
 *
 * @param target name of the actuator, or "heat"
 * @param asked what was asked for, as text, such as "60.00 %"
 * @param done true if it was sent and, where it can be read back, read back as asked
 * @param readback what was read back, as text; empty if nothing was
 * @param detail why it was not done, one line; empty if it was
 */
public record SetResult(String target, String asked, boolean done, String readback, String detail) {}
