/* server/login.h: the page of the password, beyond this machine. */
#ifndef SERVER_LOGIN_H
#define SERVER_LOGIN_H

#include "server/request.h"

/* Whether this request sends the password: POST /login, and a password is what lets in. */
bool login_is_asked(const struct request *request);

/* Lets in or refuses; costs a tenth of a second and 64 MB, one at a time. */
void login_answer(struct request *request);

#endif
