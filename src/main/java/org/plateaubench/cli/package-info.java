/** The commands: options to plain values, screens, exit codes. Only {@code Main} ends the process. */
package org.plateaubench.cli;
