package org.plateaubench.bench;

/**
 * A device as it answered when it was opened.
 *
 * @param device its name in the bench file
 * @param identity what it answered; empty if it cannot be asked
 * @param where the port or place where it was found
 */
public record DeviceIdentity(String device, String identity, String where) {

    /** How the simulated instruments begin their identity, whatever program they are reached from. */
    public static final String SIMULATED = "PLATEAU,SIMULATED";

    /** {@return true if the device says that it is a simulated one} */
    public boolean simulated() {
        return identity.startsWith(SIMULATED);
    }
}
