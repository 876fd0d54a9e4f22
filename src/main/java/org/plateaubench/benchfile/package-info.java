/** The bench file as a model, and its reader; nothing here opens a device. May use units, sample, problem. */
package org.plateaubench.benchfile;
