/** Findings over one record or a folder of records: what holds, who sealed it, who signed it off. May use record, results. */
package org.plateaubench.audit;
