// On sign-out, what the phone kept of the garden's pages is dropped. What waits to be sent stays:
// it is nobody's to lose, and it is sent only after somebody signs in again.

import { forget } from "./phone_keep.js";

forget();
