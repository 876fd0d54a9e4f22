/** Problems of files with their place, and YAML nodes with their marks. May use units. */
package org.plateaubench.problem;
