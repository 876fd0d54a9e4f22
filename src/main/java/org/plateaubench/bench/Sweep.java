package org.plateaubench.bench;

import java.util.List;
import org.plateaubench.sample.Reading;

/**
 * What one reading of the whole bench brought.
 *
 * @param readings one a column, in the order of the bench file's columns
 * @param events what happened to devices since the last sweep, in file order of the devices
 * @param busyNanos how long the slowest device took, in the bench's own (real or simulated) time
 */
public record Sweep(List<Reading> readings, List<DeviceEvent> events, long busyNanos) {

    /** Copies the lists. */
    public Sweep {
        readings = List.copyOf(readings);
        events = List.copyOf(events);
    }

    /**
     * Something that happened to a device.
     *
     * @param device its name
     * @param kind what happened
     * @param detail more about it, one line, such as the identity found; may be empty
     */
    public record DeviceEvent(String device, Kind kind, String detail) {

        /** What can happen to a device. */
        public enum Kind {
            /** The line is lost. */
            GONE("gone"),
            /** The device answered again, with the right identity; its outputs may have been reset. */
            BACK("back"),
            /** The device was started again though its line never broke; its outputs may have been reset. */
            RESTARTED("restarted"),
            /** A device answered that is another one. */
            OTHER_IDENTITY("other-identity");

            private final String text;

            Kind(String text) {
                this.text = text;
            }

            /** {@return its recorded text} */
            public String text() {
                return text;
            }
        }
    }
}
